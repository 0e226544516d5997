"""The rehearsals that lie beside the shipped tasks."""

from pathlib import Path

import pytest

from handsfree.rehearse.holds_for import sources_of
from handsfree.rehearse.page_html import rehearsal_page
from handsfree.rehearse.report import read_rehearsal, rehearsal_of
from tests.rehearse.stages import SHORT, task_in
from tests.shipped_tasks import FOLDER, TASKS

REHEARSED = [each for each in TASKS if rehearsal_of(each).exists()]
PICTURE = FOLDER.parent / "demo" / "rehearsal.png"


def test_the_short_task_was_rehearsed() -> None:
    assert SHORT in REHEARSED


@pytest.mark.parametrize("path", REHEARSED, ids=lambda path: path.stem)
def test_a_shipped_rehearsal_is_of_the_phrases_that_the_task_has(path: Path) -> None:
    """Its models and policy may be older: `check --rehearsed` tells that."""
    kept = rehearsal_of(path)
    rehearsal = read_rehearsal(kept, kept.read_text(encoding="utf-8"))
    assert rehearsal.of.phrases == sources_of(task_in(path)).phrases
    assert rehearsal.unreached == ()
    assert kept.stat().st_size < 100_000


@pytest.mark.parametrize("path", REHEARSED, ids=lambda path: path.stem)
def test_the_page_beside_it_is_made_of_it(path: Path) -> None:
    kept = rehearsal_of(path)
    rehearsal = read_rehearsal(kept, kept.read_text(encoding="utf-8"))
    page = kept.with_suffix(".html")
    assert page.read_text(encoding="utf-8") == rehearsal_page(rehearsal, task_in(path))


def test_the_picture_in_the_readme_is_there_and_small() -> None:
    readme = (FOLDER.parent / "README.md").read_text(encoding="utf-8")
    assert "](demo/rehearsal.png)" in readme
    assert PICTURE.stat().st_size < 150_000
