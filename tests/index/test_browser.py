"""The list in a browser: for everybody, on every screen, and with the keyboard alone."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from handsfree.index.serving import OpenList
from tests.index.shelf import collected
from tests.page.looking import launched, needs_browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext

COMPARED = "/runs?task=door-slide-refit&revision=5"
PAGES = ("/", "/?tool=TA31&said=pin&finding=a", "/act", "/runs", COMPARED, "/?since=never")

pytestmark = [needs_browser, pytest.mark.slow]  # what is quick is in `tests/test_browsers.py`


@pytest.fixture(scope="module")
def browser() -> "Iterator[Browser]":
    yield from launched()


@pytest.fixture(scope="module")
def url(ten: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with (
        collected(ten, tmp_path_factory.mktemp("index") / "index") as collection,
        OpenList(collection, "127.0.0.1", 0) as opened,
    ):
        yield opened.url.rstrip("/")


def window(browser: "Browser", width: int = 1280, **how: object) -> "BrowserContext":
    return browser.new_context(viewport={"width": width, "height": 900}, **how)  # type: ignore[arg-type]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", PAGES)
def test_axe_finds_nothing(browser: "Browser", url: str, path: str, scheme: str) -> None:
    """WCAG 2 A and AA and more, contrast included, by axe-core."""
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="axe-core is not installed"
    )
    # The policy of the page would not let axe in.
    with window(browser, color_scheme=scheme, bypass_csp=True) as context:
        page = context.new_page()
        page.goto(url + path)
        found = axe.Axe().run(page).response["violations"]
    assert [(each["id"], each["nodes"][0]["html"]) for each in found] == []


@pytest.mark.parametrize("path", PAGES)
def test_no_page_is_wider_than_a_phone(browser: "Browser", url: str, path: str) -> None:
    with window(browser, 360) as context:
        page = context.new_page()
        page.goto(url + path)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.parametrize("path", PAGES)
def test_a_browser_finds_nothing_against_the_policy(
    browser: "Browser", url: str, path: str
) -> None:
    with window(browser) as context:
        page = context.new_page()
        told: list[str] = []
        page.on("console", lambda message: told.append(message.text))
        page.on("pageerror", lambda error: told.append(str(error)))
        page.goto(url + path)
        expected = 1 if path == "/?since=never" else 0  # that the answer is 400
        assert len(told) == expected


def test_the_longest_run_is_found_with_the_keyboard_alone(browser: "Browser", url: str) -> None:
    with window(browser, java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(url)
        for name in ("Runs side by side", "Refit the slide pack and the girt bar", "run-3"):
            for _ in range(40):
                page.keyboard.press("Tab")
                focused = page.locator(":focus")
                if focused.count() and name in focused.inner_text():
                    break
            else:
                raise AssertionError(f"{name} is not reached")
            with page.expect_navigation():
                page.keyboard.press("Enter")
        assert "/record/" in page.url
        assert page.locator("#verdict-head").is_visible()


def test_on_paper_there_is_no_form_and_no_colour(browser: "Browser", url: str) -> None:
    with window(browser) as context:
        page = context.new_page()
        page.goto(url)
        page.emulate_media(media="print")
        assert page.locator(".filters").is_hidden()
        colour = "getComputedStyle(document.querySelector('.stands')).color"
        assert page.evaluate(colour) == "rgb(0, 0, 0)"
