"""The two pictures of the page in the README, into demo/: `python -m tests.page.pictures`."""

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.page.writing import write_page
from handsfree.record.task_file import read_task_of
from handsfree.record.verify import verify
from tests.page.long_record import DOUBTFUL_AT, hold_long
from tests.page.looking import Looked, launched

if TYPE_CHECKING:
    from playwright.sync_api import FloatRect

DEMO = Path(__file__).resolve().parents[2] / "demo"
_SIZE = (1040, 860)


def main() -> None:
    """Make the record of an hour, its page, and the pictures."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "2031-03-01-door-slide"
        hold_long(folder)
        file = Path(place) / "page.html"
        # The voices of this record are drawn, so what could be said of them means nothing.
        write_page(folder, read_task_of(folder), verify(folder), file, with_voices=False)
        for browser in launched():
            looked = Looked(browser, file, _SIZE)
            page = looked.page
            page.screenshot(
                path=DEMO / "page-first.png",
                clip=_clip(looked, "#verdict", "#attention"),
                full_page=True,
            )
            while page.locator("#attention tr:focus", has_text=DOUBTFUL_AT).count() == 0:
                looked.press("n")
            page.screenshot(
                path=DEMO / "page-moment.png",
                clip=_clip(looked, "#timeline", "#timeline"),
                full_page=True,
            )


def _clip(looked: Looked, first: str, last: str) -> "FloatRect":
    """From the top of one part to the end of another, with a little room."""
    top, end = (looked.page.locator(each).bounding_box() for each in (first, last))
    assert top is not None
    assert end is not None
    scrolled = looked.page.evaluate("scrollY")
    y = top["y"] + scrolled - 8
    height = end["y"] + scrolled + end["height"] + 8 - y
    return {"x": 0, "y": y, "width": _SIZE[0], "height": height}


if __name__ == "__main__":
    main()
