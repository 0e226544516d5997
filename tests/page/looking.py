"""A browser for the tests of pages: Debian's Chromium through Playwright, or a reason to skip."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

CHROMIUM = shutil.which("chromium")
# As root, with no network to talk to. Nothing here weakens the page.
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
_BETWEEN_LOOKS_MS, _MOST_LOOKS = 50, 600
DESK, PHONE = (1280, 900), (390, 844)

needs_browser = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")


def launched() -> "Iterator[Browser]":
    """For a fixture: a browser, closed at the end."""
    api = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


class Looked:
    """A page in the browser, with what went wrong in it and what it asked for."""

    def __init__(
        self, browser: "Browser", file: Path, size: tuple[int, int] = DESK, colours: str = "light"
    ) -> None:
        width, height = size
        self.page: Page = browser.new_page(
            viewport={"width": width, "height": height},
            color_scheme=colours,  # type: ignore[arg-type]
        )
        self.wrong: list[str] = []
        self.asked_for: list[str] = []
        self.page.on("pageerror", lambda error: self.wrong.append(str(error)))
        self.page.on("console", lambda each: self.wrong.append(each.text))
        self.page.on("dialog", lambda each: self.wrong.append(each.message))
        self.page.on("request", lambda each: self.asked_for.append(each.url))
        self.page.goto(file.as_uri())

    def press(self, *keys: str) -> "Looked":
        for key in keys:
            self.page.keyboard.press(key)
        return self

    def text(self, selector: str) -> str:
        """What a person can read there, on one line; hidden text is none."""
        return " ".join(self.page.locator(selector).inner_text().split())

    def until(self, holds: str) -> None:
        """Wait until a script says so; the page's policy forbids what Playwright waits with."""
        for _ in range(_MOST_LOOKS):
            if self.page.evaluate(holds):
                return
            self.page.wait_for_timeout(_BETWEEN_LOOKS_MS)
        raise AssertionError(f"it did not come to {holds}")

    def shown(self) -> str:
        """The id of the line at the moment that is shown."""
        return str(self.page.locator("#said li.now").get_attribute("id"))
