"""Records for the tests of the page, and what the page gathers of them."""

from pathlib import Path

from handsfree.page.gathering import Page
from handsfree.page.writing import page_of
from handsfree.record.entries import read_entries
from handsfree.record.verify import verify
from tests.engine.people_task import TASK
from tests.record.six_runs import RUNS


def page_of_run(name: str, folder: Path) -> Page:
    """The page of one of the six runs, whose record is made in `folder`."""
    RUNS[name](folder)
    return page_of(folder, TASK, verify(folder), read_entries(folder))
