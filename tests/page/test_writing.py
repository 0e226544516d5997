"""The page is written whole or not at all, with its sounds inside or beside it."""

from pathlib import Path

import pytest
from lxml import html

from handsfree.page import writing
from handsfree.page.writing import PageNotWritten, write_page
from handsfree.record.verify import verify
from tests.engine.people_task import TASK
from tests.record.six_runs import RUNS


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    RUNS["perfect"](tmp_path / "run")
    return tmp_path / "run"


def test_sounds_are_inside(folder: Path, tmp_path: Path) -> None:
    made = write_page(folder, TASK, verify(folder), tmp_path / "page.html")
    assert made.beside is None
    assert made.sounds > 0
    assert "data:audio/flac;base64," in made.page.read_text()


def test_many_sounds_lie_beside_it(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(writing, "MOST_INSIDE", 10)
    made = write_page(folder, TASK, verify(folder), tmp_path / "page.html")
    assert made.beside == tmp_path / "page-sounds"
    assert len(list(made.beside.iterdir())) == made.sounds
    shown = html.fromstring(made.page.read_text())
    played = {tmp_path / each for each in shown.xpath("//button/@data-sound")}
    assert played == set(made.beside.iterdir())


def test_a_sound_that_is_not_what_was_heard_is_not_played(folder: Path, tmp_path: Path) -> None:
    for clip in (folder / "clips").iterdir():
        clip.write_bytes(b"another one")
    made = write_page(folder, TASK, verify(folder), tmp_path / "page.html")
    assert made.sounds == 0


def test_nothing_is_written_over(folder: Path, tmp_path: Path) -> None:
    there = tmp_path / "page.html"
    there.write_text("mine")
    with pytest.raises(PageNotWritten) as caught:
        write_page(folder, TASK, verify(folder), there)
    assert str(caught.value) == (
        f"{there}: the page cannot be written there (File exists). Name a new file with --to; "
        "nothing is written over."
    )
    assert there.read_text() == "mine"
