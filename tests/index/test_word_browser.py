"""A supervisor gives their word in a browser: with the keyboard alone, on every screen."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from handsfree.index.serving import OpenList
from handsfree.index.word_given import Reviewer
from handsfree.record.verify import verify
from tests.index.shelf import NOW, collected
from tests.index.test_site import id_of
from tests.page.looking import launched, needs_browser
from tests.record.runs import hold
from tests.record.test_reviewing import VERA

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = [needs_browser, pytest.mark.slow]  # quick ones: `test_word_given.py`


@pytest.fixture(scope="module")
def browser() -> "Iterator[Browser]":
    yield from launched()


@pytest.fixture
def url(tmp_path: Path) -> Iterator[str]:
    hold(tmp_path / "root" / "run")
    with (
        collected(tmp_path / "root", tmp_path / "index") as collection,
        OpenList(collection, "127.0.0.1", 0, Reviewer(VERA, lambda: NOW)) as opened,
    ):
        yield opened.url


def opened(context: "BrowserContext", url: str) -> "Page":
    """The page of the record, as somebody opens it who has the address that was printed."""
    page = context.new_page()
    page.goto(url)
    page.goto(f"{url.partition('/?')[0]}/record/{id_of('run')}")
    return page


def test_a_word_is_given_with_the_keyboard_alone_and_without_a_script(
    browser: "Browser", url: str, tmp_path: Path
) -> None:
    with browser.new_context(java_script_enabled=False) as context:
        page = opened(context, url)
        told: list[str] = []
        page.on("console", lambda message: told.append(message.text))
        page.locator("a[href='#give']").focus()
        page.keyboard.press("Enter")
        for _ in range(3):
            page.keyboard.press("Tab")
            if page.locator("input[value='accept']:focus").count():
                break
        page.keyboard.press("ArrowDown")  # among the choices, to reject
        page.keyboard.press("Tab")
        page.keyboard.type("the second hearing is not what was said")
        page.keyboard.press("Tab")
        with page.expect_navigation():
            page.keyboard.press("Enter")
        assert page.url.endswith("#word")
        assert page.locator("#word-head").inner_text() == "Rejected by Vera Holm, supervisor"
        assert told == []
    word = verify(tmp_path / "root" / "run").word
    assert word is not None
    assert word.said.remark == "the second hearing is not what was said"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_in_the_form(browser: "Browser", url: str, scheme: str) -> None:
    """WCAG 2 A and AA and more, contrast and labels included, by axe-core."""
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="axe-core is not installed"
    )
    # The policy of the page would not let axe in.
    with browser.new_context(color_scheme=scheme, bypass_csp=True) as context:  # type: ignore[arg-type]  # of two words
        page = opened(context, url)
        assert page.locator("#give").is_visible()
        found = axe.Axe().run(page).response["violations"]
    assert [(each["id"], each["nodes"][0]["html"]) for each in found] == []


def test_the_form_is_no_wider_than_a_phone(browser: "Browser", url: str) -> None:
    with browser.new_context(viewport={"width": 360, "height": 700}) as context:
        page = opened(context, url)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_on_paper_there_is_no_form(browser: "Browser", url: str) -> None:
    with browser.new_context() as context:
        page = opened(context, url)
        page.emulate_media(media="print")
        assert page.locator("#give").is_hidden()
        assert page.locator("a[href='#give']").is_hidden()
