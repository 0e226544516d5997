"""Each page once in a browser: that it is shown, obeys, and does nothing that it should not.

What else a browser tells of them is tested beside each page in `test_browser.py`, marked slow.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from handsfree.index.serving import OpenList
from tests.board.following import at
from tests.board.test_browser import LANDSCAPE, Tablet
from tests.index.shelf import collected
from tests.page.looking import PHONE, Looked, launched, needs_browser
from tests.page.test_browser import TAGS, page_file
from tests.record.six_runs import RUNS

if TYPE_CHECKING:
    from playwright.sync_api import Browser

HOSTILE = "<img src=x onerror=alert(1)>"

pytestmark = needs_browser


@pytest.fixture(scope="module")
def browser() -> "Iterator[Browser]":
    yield from launched()


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of one record, whose name is hostile."""
    folder = tmp_path_factory.mktemp("records")
    RUNS["rework"](folder / HOSTILE)
    return folder


@pytest.mark.slow
def test_the_page_of_a_record(browser: "Browser", records: Path, tmp_path: Path) -> None:
    looked = Looked(browser, page_file(records / HOSTILE, tmp_path / "page.html"))
    assert HOSTILE in looked.text(".what")
    first = looked.press("n").shown()
    assert looked.press("n", "g").shown() != first
    assert looked.press("p").shown() == first
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="axe-core is not installed"
    )
    found = axe.Axe().run(looked.page, options={"runOnly": {"type": "tag", "values": TAGS}})
    assert [(each["id"], each["nodes"][0]["html"]) for each in found.response["violations"]] == []
    looked.press("t", "t")
    looked.page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    assert looked.page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    looked.page.close()
    assert looked.wrong == []
    assert [each for each in looked.asked_for if not each.startswith(("file:", "data:"))] == []


def test_the_list_of_records(browser: "Browser", records: Path, tmp_path: Path) -> None:
    wrong: list[str] = []
    with collected(records, tmp_path / "index") as shelf, OpenList(shelf, "127.0.0.1", 0) as opened:
        page = browser.new_page(viewport={"width": 360, "height": 900})
        page.on("console", lambda each: wrong.append(each.text))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(opened.url)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        with page.expect_navigation():
            page.get_by_text(HOSTILE).first.click()
        assert page.locator("#verdict-head").is_visible()
        page.close()
    assert wrong == []


def test_the_board(browser: "Browser") -> None:
    tablet = Tablet(browser, LANDSCAPE).show(at().view)
    assert tablet.text("#instruction") == "Fit the safety pin."
    assert tablet.text('[data-kind="warning"]') == "WARNING The door can move."
    assert tablet.text("#answers") == "pin fitted"
    tablet.lose_the_connection()
    assert tablet.text("#connection").startswith("No connection: listen to the voice.")
    assert tablet.page.locator("#say").is_hidden()
    assert tablet.errors == []
    tablet.close()
