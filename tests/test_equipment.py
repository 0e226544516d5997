"""Equipment lists and dates at the command line, on the record, and on replay."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from typer.testing import CliRunner

from handsfree import cli
from handsfree.engine.events import Started
from handsfree.errors import HandsfreeError
from handsfree.record.entries import read_entries
from handsfree.record.replay import replay
from handsfree.task.calibration import CalibrationRanOut, refuse_expired_since
from tests.engine.tools import TASK, TO_BACK, TO_TIGHTEN, TOOLS

LIST = """\
serial,name,calibration due,status
TW-31,Torque wrench,2071-03-15,serviceable
TW-28,Torque wrench,2001-02-03,serviceable
"""
SAID = "\n".join((*TO_BACK, "one", "two", "affirm", "")).replace(
    "two zero two seven", "two zero seven one"
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "task.yaml").write_text(TOOLS)
    (tmp_path / "list.csv").write_text(LIST)
    return tmp_path


def run(folder: Path, typed: str, *more: str) -> tuple[int, str]:
    """What the command prints; a typed error is its message, as `main` prints it."""
    words = ["run", str(folder / "task.yaml"), "--keyboard", "--record", str(folder / "r")]
    words += ["--speech-file", str(folder / "speech.wav"), *more]
    done = CliRunner().invoke(cli.app, words, input=typed)
    if isinstance(done.exception, HandsfreeError):
        return done.exception.exit_code, str(done.exception)
    return done.exit_code, done.output


def test_a_list_goes_with_the_run_onto_the_record_and_is_replayed(folder: Path) -> None:
    code, printed = run(folder, SAID, "--equipment", str(folder / "list.csv"))
    assert code == 0, printed
    assert "Tools: two out, one in, one missing." in printed
    entries = list(read_entries(folder / "r"))
    started = next(each for each in entries if each.kind == "started")
    assert started.fields["today"] == f"{started.at:%Y-%m-%d}"
    assert isinstance(event := started.value, Started)
    assert [each.serial for each in event.equipment or ()] == ["TW31", "TW28"]
    differs = next(each for each in entries if each.kind == "count-differs")
    assert (differs.fields["out"], differs.fields["counted_in"], differs.fields["missing"]) == (
        *(2, 1),
        1,
    )
    read = next(each for each in entries if each.kind == "date-read")
    assert read.fields == {
        "step": "wrench-date",
        "said": "2071-03-15",
        "verdict": "in date",
        "corrects": False,
    }
    assert not any(turn.differences for turn in replay(TASK, entries))


def test_the_work_summary_tells_the_dates_of_the_tools(folder: Path) -> None:
    run(folder, SAID)
    done = CliRunner().invoke(cli.app, ["export", str(folder / "r"), str(folder / "out")])
    assert done.exit_code in (0, 1)  # the record is not sealed by a key
    summary = (folder / "out" / "work-summary.md").read_text()
    assert "- wrench-number: TW31\n- wrench-date: 2071-03-15" in summary


def test_a_list_that_is_wrong_is_misuse_with_its_line(folder: Path) -> None:
    (folder / "list.csv").write_text(LIST.replace("2001-02-03", "03.02.2001"))
    code, printed = run(folder, "", "--equipment", str(folder / "list.csv"))
    assert code == 2
    assert "list.csv:3:1: '03.02.2001' is not a date of the calendar." in printed
    assert not (folder / "r").exists()


def test_a_list_that_is_not_there_is_misuse(folder: Path) -> None:
    code, printed = run(folder, "", "--equipment", "none.csv")
    assert (code, printed) == (
        2,
        "none.csv: cannot be read (No such file or directory). Name an equipment list.",
    )


def test_a_run_that_goes_on_takes_no_other_list() -> None:
    words = ["run", "--resume", "r", "--keyboard", "--equipment", "list.csv"]
    done = CliRunner().invoke(cli.app, words)
    assert str(done.exception) == (
        "run: a run that goes on keeps its equipment list: leave --equipment out."
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


def test_resuming_after_the_last_day_is_refused(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run(folder, "\n".join((*TO_TIGHTEN, "")).replace("zero two seven", "zero seven one"))
    later = datetime(2071, 3, 16, tzinfo=UTC)
    monkeypatch.setattr(cli, "_utc_now", lambda: later)
    words = ["run", "--resume", str(folder / "r"), "--keyboard"]
    done = CliRunner().invoke(cli.app, words)
    assert isinstance(done.exception, CalibrationRanOut)
