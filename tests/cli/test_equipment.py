"""Equipment lists and dates at the command line, on the record, and on replay."""

from datetime import UTC, date, datetime, time
from pathlib import Path

import pytest
from typer.testing import CliRunner

from handsfree.cli import app as cli
from handsfree.cli import opened_run
from handsfree.engine.entries import CountDiffers, DateRead
from handsfree.engine.events import Started
from handsfree.errors import HandsfreeError
from handsfree.record import Record
from handsfree.record.entries import read_entries
from handsfree.record.replay import replay
from handsfree.running.loop import run
from handsfree.task.checks.calibration import CalibrationRanOut, refuse_expired_since
from handsfree.task.equipment_list import check_fits, read_equipment
from handsfree.task.read import read_task
from handsfree.task.validity import DateVerdict
from tests.engine.tools import TASK, TO_BACK, TO_TIGHTEN, TODAY, TOOLS
from tests.record.runs import KEYS, Clock, Lines, NoScreen, NoSync, Voice

AT = datetime.combine(TODAY, time(12), UTC)
TASKS = Path(__file__).parents[2] / "tasks"

LIST = """\
serial,name,calibration due,status
TW-31,Torque wrench,2071-03-15,serviceable
TW-28,Torque wrench,2001-02-03,serviceable
"""
SAID = tuple(
    each.replace("zero two seven", "zero seven one")
    for each in (*TO_BACK, "one", "correction two", "affirm")
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "task.yaml").write_text(TOOLS)
    (tmp_path / "list.csv").write_text(LIST)
    return tmp_path


def whole(folder: Path, *said: str) -> Path:
    """The record of a run by the real shell, quickly."""
    clock = Clock()
    with Record(folder / "r", TOOLS, clock.utc, clock.since_start, KEYS, NoSync()) as record:
        ear, tools = Lines(said, with_sound=False), read_equipment(LIST.encode(), "list.csv")
        run(TASK, ear, record, Voice(), NoScreen(), utc_now=lambda: AT, equipment=tools)
    return folder / "r"


def told(*words: str) -> tuple[int, str]:
    """The exit code and the message of a command that a person has to put right."""
    done = CliRunner().invoke(cli.app, words)
    assert isinstance(done.exception, HandsfreeError)
    return done.exception.exit_code, str(done.exception)


def test_a_list_goes_with_the_run_onto_the_record_and_is_replayed(folder: Path) -> None:
    entries = list(read_entries(whole(folder, *SAID)))
    started = next(each.value for each in entries if each.kind == "started")
    assert isinstance(started, Started)
    assert started.today == TODAY
    assert [each.serial for each in started.equipment or ()] == ["TW31", "TW28"]
    assert [each.value for each in entries if each.kind == "date-read"] == [
        DateRead("wrench-date", "2071-03-15", DateVerdict.IN_DATE, corrects=False)
    ]
    differs = next(each.value for each in entries if each.kind == "count-differs")
    assert isinstance(differs, CountDiffers)
    assert (differs.item, differs.out, differs.counted_in, differs.missing) == ("tools", 2, 1, 1)
    assert not any(turn.differences for turn in replay(TASK, entries))


def test_the_work_summary_tells_the_numbers_and_dates_of_the_tools(folder: Path) -> None:
    record = whole(folder, *SAID)
    done = CliRunner().invoke(cli.app, ["export", str(record), str(folder / "out")])
    assert done.exit_code == 0, done.output
    summary = (folder / "out" / "work-summary.md").read_text()
    assert "- wrench-number: TW31\n- wrench-date: 2071-03-15" in summary


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (LIST.replace("2001-02-03", "03.02.2001"), "list.csv:3:1: '03.02.2001' is not a date of"),
        (LIST.replace("Torque wrench", "Hammer"), "list.csv:1:1: no tool is called 'Torque wrench"),
    ],
)
def test_a_list_that_is_wrong_is_misuse_and_nothing_begins(
    folder: Path, wrong: str, message: str
) -> None:
    (folder / "list.csv").write_text(wrong)
    task, listed, record = (str(folder / name) for name in ("task.yaml", "list.csv", "r"))
    code, said = told("run", task, "--keyboard", "--record", record, "--equipment", listed)
    assert code == 2
    assert message in said
    assert not (folder / "r").exists()


def test_a_list_that_is_not_there_is_misuse(folder: Path) -> None:
    assert told("run", str(folder / "task.yaml"), "--keyboard", "--equipment", "none.csv") == (
        2,
        "none.csv: cannot be read (No such file or directory). Name an equipment list.",
    )


def test_a_run_that_goes_on_takes_no_other_list() -> None:
    words = ["run", "--resume", "r", "--keyboard", "--equipment", "list.csv"]
    assert told(*words) == (
        2,
        "run: a run that goes on keeps its equipment list: leave --equipment out.",
    )


def test_a_run_does_not_go_on_with_a_tool_whose_calibration_ran_out() -> None:
    at, dates = TASK.index_of["tighten"], {"wrench-date": date(2027, 3, 15)}
    refuse_expired_since(TASK, at, dates, date(2027, 3, 15))
    refuse_expired_since(TASK, at + 1, dates, date(2027, 3, 16))  # it is not used any more
    with pytest.raises(CalibrationRanOut) as caught:
        refuse_expired_since(TASK, at, dates, date(2027, 3, 16))
    assert str(caught.value) == (
        "wrench: calibration was due 2027-03-15, today is 2027-03-16, and step 'tighten' still "
        "uses it. Begin a new record, and read out the number of another tool there."
    )


def test_a_tool_that_ran_out_and_that_a_later_step_leads_back_to_is_still_used() -> None:
    led_back = TOOLS.replace("uses: [pins]", "uses: [pins]\n    then: {late: tighten}\n    " + WAIT)
    task, dates = read_task(led_back, "t.yaml"), {"wrench-date": date(2027, 3, 15)}
    with pytest.raises(CalibrationRanOut):
        refuse_expired_since(task, task.index_of["look"], dates, date(2027, 3, 16))
    refuse_expired_since(task, task.index_of["look"] + 1, dates, date(2027, 3, 16))


WAIT = "wait: {since: tighten, at_most: 1 h}"


def test_resuming_after_the_last_day_is_refused(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = whole(
        folder, *(each.replace("zero two seven", "zero seven one") for each in TO_TIGHTEN)
    )
    later = datetime(2071, 3, 16, tzinfo=UTC)
    monkeypatch.setattr(opened_run, "utc_now", lambda: later)
    done = CliRunner().invoke(cli.app, ["run", "--resume", str(record), "--keyboard"])
    assert isinstance(done.exception, CalibrationRanOut)


def test_the_list_that_comes_with_a_task_fits_it_and_does_not_run_out() -> None:
    name = "door-slide-equipment.csv"
    tools = read_equipment((TASKS / name).read_bytes(), name)
    text = (TASKS / "door-slide-refit.yaml").read_text(encoding="utf-8")
    check_fits(read_task(text, "door-slide-refit.yaml"), tools, name)
    due = [each.calibration_due for each in tools if each.calibration_due is not None]
    assert [each for each in due if each.year < 2070] == [date(2024, 11, 30)]  # on purpose
