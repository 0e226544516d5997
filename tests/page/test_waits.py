"""When the task stood, how long, and why."""

from contextlib import suppress
from datetime import timedelta
from pathlib import Path

from handsfree.page.waits import Wait, waits
from handsfree.record.entries import read_entries
from tests.engine.people_task import TO_LOCK
from tests.record.six_runs import EveryMinute, Killed, hold


def stood(folder: Path, *said: str) -> tuple[Wait, ...]:
    with suppress(Killed):
        hold(folder, EveryMinute((*TO_LOCK, *said)))
    return waits(read_entries(folder))


def test_it_lasts_from_stand_by_to_go_ahead_with_the_reason_that_was_said(tmp_path: Path) -> None:
    [wait] = stood(tmp_path / "run", "stand by", "the ties are used up", "go ahead", "lock tied")
    assert wait.end - wait.begin == timedelta(minutes=2)
    assert wait.step == "lock"
    assert wait.told.startswith("for 0:02:00, stand by")


def test_one_that_does_not_end_lasts_to_the_end_of_the_record(tmp_path: Path) -> None:
    [wait] = stood(tmp_path / "run", "stand by", "the ties are used up", "affirm", "affirm")
    assert wait.end - wait.begin >= timedelta(minutes=3)


def test_each_wait_has_its_own_reason(tmp_path: Path) -> None:
    twice = ("stand by", "one", "go ahead", "stand by", "two", "go ahead")
    assert len(stood(tmp_path / "run", *twice)) == 2


def test_a_run_without_one_has_none(tmp_path: Path) -> None:
    assert stood(tmp_path / "run", "lock tied") == ()
