"""The page in a browser: by clicks and by keys, light and dark, on a phone and on paper.

On a run that was gone through in minutes, and on one of an hour (`long_record.py`).
"""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from handsfree.page.writing import write_page
from handsfree.record.task_file import read_task_of
from handsfree.record.verify import verify
from tests.page.long_record import DOUBTFUL_AT, STOOD_AT, TORQUE_AT, WHY_IT_STOOD, hold_long
from tests.page.looking import DESK, PHONE, Looked, launched, needs_browser
from tests.record.six_runs import RUNS

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = [needs_browser, pytest.mark.slow]  # what is quick is in `tests/test_browsers.py`
# What axe-core is asked: WCAG 2.2 to AA as far as a program can judge, and what it calls best.
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture(scope="module")
def browser() -> "Iterator[Browser]":
    yield from launched()


def page_file(folder: Path, to: Path) -> Path:
    return write_page(folder, read_task_of(folder), verify(folder), to).page


@pytest.fixture(scope="module")
def hour(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("hour")
    hold_long(place / "run")
    return page_file(place / "run", place / "hour.html")


@pytest.fixture(scope="module")
def rework(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("rework")
    RUNS["rework"](place / "run")
    return page_file(place / "run", place / "rework.html")


@pytest.fixture(scope="module")
def damaged(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("damaged")
    RUNS["deferral"](place / "run")
    log = place / "run" / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b'"pin fitted"', b'"pin Fitted"', 1))
    return page_file(place / "run", place / "damaged.html")


@pytest.fixture
def look(browser: "Browser", hour: Path) -> Iterator[Looked]:
    looked = Looked(browser, hour)
    yield looked
    looked.page.close()
    assert looked.wrong == []
    assert [each for each in looked.asked_for if not each.startswith(("file:", "data:"))] == []


def row(look: Looked, what: str) -> int:
    """Which row of what needs eyes has this in it, from 1."""
    rows = look.page.locator("#attention tbody tr").all_inner_texts()
    return next(at for at, each in enumerate(rows, 1) if what in each)


def test_the_doubtful_hearing_and_its_sound_are_two_kinds_of_keys_away(look: Looked) -> None:
    at = row(look, DOUBTFUL_AT)
    look.press(*("n",) * at)
    assert DOUBTFUL_AT in look.page.evaluate("document.activeElement.innerText")
    assert "“bottle pin fitted”; with nothing forbidden" in look.text("#moment")
    assert "score 0.42" in look.text("#moment")
    assert "Next best bottle pin removed" in look.text("#moment")
    assert "not acted on: doubtful hearing" in look.text("#moment")
    assert "The tool said Say again" in look.text("#moment")
    assert look.page.locator("#moment .wave path").count() == 1
    look.press("Enter")
    button = look.page.locator(f"#attention tbody tr:nth-child({at}) button")
    assert look.page.evaluate("sound.src") == button.get_attribute("data-sound")
    look.until("sound.currentTime > 0 && Number(heads[0].getAttribute('x1')) > 0")


def test_the_torque_that_was_wrong_at_first_stands_before_all_else(look: Looked) -> None:
    assert row(look, "14 N.m, below minimum") == 1
    reading = look.page.locator("#readings tr", has_text=TORQUE_AT)
    assert reading.locator(".tried").count() == 1
    assert reading.locator("td").nth(6).inner_text() == "2"


def test_why_the_task_stood_is_told_where_it_stood(look: Looked) -> None:
    told = look.page.locator("#attention tbody tr", has_text=STOOD_AT).inner_text()
    assert f"{STOOD_AT}: for 0:10:10, stand by: “{WHY_IT_STOOD}”" in told
    wait = look.page.locator("#picture .wait")
    assert wait.count() == 1
    wait.click()
    assert "stand by" in look.text("#moment .head")


def test_next_and_back_go_round(look: Looked) -> None:
    rows = look.page.locator("#attention tbody tr").count()
    look.press("p")
    assert look.page.evaluate("row") == rows - 1
    look.press("n")
    assert look.page.evaluate("row") == 0


def test_g_goes_to_the_moment_in_all_that_was_said(look: Looked) -> None:
    look.press("n", "g")
    box = look.page.locator(f"#{look.shown()}").bounding_box()
    assert box is not None
    assert 0 <= box["y"] <= DESK[1]


def test_the_arrows_move_the_moment_on_the_timeline(look: Looked) -> None:
    look.page.focus("#sheet")
    look.press("ArrowRight")
    first = look.shown()
    look.press("ArrowRight", "ArrowRight", "ArrowLeft", "ArrowLeft")
    assert look.shown() == first
    look.press("ArrowRight")
    assert look.shown() != first
    x = look.page.evaluate("Number.parseFloat(cursor.getAttribute('x1'))")
    seconds = float(look.page.locator("#said li.now").get_attribute("data-seconds") or "nan")
    assert x == pytest.approx(100 * seconds / look.page.evaluate("length"), abs=0.01)


def test_closer_shows_what_the_steps_are_called_and_wider_takes_it_back(look: Looked) -> None:
    def labels() -> int:
        return look.page.locator("#picture .steps text:not(.narrow)").count()

    before = labels()
    width = "picture.getBoundingClientRect().width / sheet.clientWidth"
    look.press("+", "+", "+")
    assert look.page.evaluate(width) == pytest.approx(8, abs=0.1)
    assert labels() > 3 * before
    look.page.click("#wider")
    look.press("-", "-", "-")
    assert look.page.evaluate(width) == pytest.approx(1, abs=0.01)
    assert labels() == before


def test_the_moment_stays_in_sight_when_the_timeline_is_close(look: Looked) -> None:
    look.press("n", "+", "+", "+", "+")
    assert look.page.evaluate(
        "(() => { const c = cursor.getBoundingClientRect(), s = sheet.getBoundingClientRect();"
        "return c.left >= s.left && c.right <= s.right; })()"
    )


def test_a_click_between_the_spans_shows_what_was_said_last_before_it(look: Looked) -> None:
    look.page.locator("#picture").scroll_into_view_if_needed()
    box = look.page.locator("#picture").bounding_box()
    assert box is not None
    look.page.mouse.click(box["x"] + box["width"] * 0.5, box["y"] + 5)
    seconds = float(look.page.locator("#said li.now").get_attribute("data-seconds") or "nan")
    assert seconds <= 0.5 * look.page.evaluate("length")
    assert seconds > 0.45 * look.page.evaluate("length")


def test_playing_through_goes_from_line_to_line_with_its_sounds_until_it_is_stopped(
    look: Looked,
) -> None:
    look.page.select_option("#rate", "16")
    look.page.click("#run")
    assert look.page.get_attribute("#run", "aria-pressed") == "true"
    look.until("lines.filter((each, n) => n <= at && each.querySelector('button')).length > 2")
    assert look.page.evaluate("sound.playbackRate") == 16
    assert look.page.evaluate("sound.src").startswith("data:audio/flac")
    look.press("t")
    assert look.page.get_attribute("#run", "aria-pressed") == "false"
    assert look.page.evaluate("sound.paused && through === null")


def test_playing_through_ends_with_the_last_line(look: Looked) -> None:
    look.page.select_option("#rate", "16")
    look.page.evaluate("show(lines[lines.length - 3], false)")
    look.press("t")
    look.until("through === null")
    assert look.page.evaluate("at === lines.length - 1")


def test_finding_leaves_only_the_lines_with_the_words(look: Looked) -> None:
    look.page.fill("#find", "NITROGEN cart")
    assert look.text("#found").startswith("1 of ")
    # What lies out of sight is not drawn and has no inner text, but one can scroll to it.
    left = look.page.locator("#said li").evaluate_all(
        "lines => lines.filter(line => line.checkVisibility()).map(line => line.textContent)"
    )
    assert len(left) == 1
    assert WHY_IT_STOOD in " ".join(left[0].split())
    look.press("n")  # typed, and no command
    assert look.page.evaluate("row") == -1


@pytest.mark.parametrize("colours", ["light", "dark"])
@pytest.mark.parametrize("which", ["hour", "rework", "damaged"])
def test_axe_finds_nothing(
    browser: "Browser", which: str, colours: str, request: pytest.FixtureRequest
) -> None:
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="axe-core is not installed"
    )
    looked = Looked(browser, request.getfixturevalue(which), DESK, colours)
    looked.press("n")
    if which != "hour":  # they are all alike, and there are many
        looked.page.evaluate(
            "for (const each of document.querySelectorAll('details')) each.open = true"
        )
    found = axe.Axe().run(looked.page, options={"runOnly": {"type": "tag", "values": TAGS}})
    looked.page.close()
    assert [(each["id"], each["nodes"][0]["html"]) for each in found.response["violations"]] == []


@pytest.mark.parametrize("which", ["hour", "damaged"])
def test_nothing_lies_outside_a_phone(
    browser: "Browser", which: str, request: pytest.FixtureRequest
) -> None:
    looked = Looked(browser, request.getfixturevalue(which), PHONE)
    assert looked.page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    looked.page.close()


def test_a_record_that_was_changed_says_so_above_all_that_can_be_scrolled(
    browser: "Browser", damaged: Path
) -> None:
    looked = Looked(browser, damaged)
    box = looked.page.locator("#verdict h2").bounding_box()
    assert looked.text("#verdict h2") == "Do not trust this record"
    assert box is not None
    assert box["y"] < DESK[1] / 2
    looked.page.close()


def test_on_paper_there_are_no_keys_and_all_is_on_a4(browser: "Browser", hour: Path) -> None:
    looked = Looked(browser, hour)
    looked.page.emulate_media(media="print")
    for selector in (".script", "button", "details", "#sound"):
        for each in looked.page.locator(selector).all():
            assert not each.is_visible()
    printed = looked.page.pdf(prefer_css_page_size=True)
    looked.page.close()
    # 210 by 297 mm, ISO 216, in points of 1/72 inch.
    assert b"/MediaBox [0 0 594.95996 841.91998]" in printed or b"/MediaBox [0 0 595" in printed


def test_hostile_names_do_nothing_in_a_browser(browser: "Browser", tmp_path: Path) -> None:
    name = "<img src=x onerror=alert(1)>"
    RUNS["perfect"](tmp_path / name)
    file = page_file(tmp_path / name, tmp_path / "page.html")
    looked = Looked(browser, file)
    looked.press("n", "t")
    assert looked.wrong == []
    assert name in looked.text(".what")
    looked.page.close()
