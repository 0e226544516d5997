"""What is noted of a record is what its own summary tells; what cannot be read is a row."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.index import noting, rows
from handsfree.index.folders import Place
from handsfree.index.noting import Trust
from handsfree.index.tables import (
    FindingRow,
    PersonRow,
    ReadingRow,
    SaidRow,
    Stands,
    StepRow,
    ToolRow,
    Word,
    tool_key,
)
from handsfree.record.standing import verdict
from handsfree.record.trusted import Trusted, TrustedKey
from tests.index.shelf import noted, record_of
from tests.record.runs import KEYS, hold
from tests.record.six_runs import RUNS, summary_of
from tests.record.test_reviewing import BAD, give

STANDS = {
    "perfect": Stands.FINISHED,
    "deferral": Stands.NOT_ALL_DONE,
    "rework": Stands.FINISHED,
    "undone": Stands.FINISHED,
    "killed and resumed by another": Stands.FINISHED,
    "typed by one person": Stands.FINISHED,
}


@pytest.mark.parametrize("name", RUNS)
def test_a_record_is_noted_as_its_summary_tells_it(name: str, tmp_path: Path) -> None:
    RUNS[name](tmp_path / "run")
    rows, summary = noted(tmp_path / "run"), summary_of(tmp_path / "run")
    record = record_of(rows)
    assert record.stands == STANDS[name].value
    assert record.verdict == verdict(summary.standing)
    assert record.work_s == sum(each.work.total_seconds() for each in summary.labour)
    assert record.open_findings == len(summary.standing.open_findings)
    steps = [each for each in rows if isinstance(each, StepRow)]
    assert [(each.step, each.undone) for each in steps] == [
        (each.step, each.undone) for each in summary.passes
    ]
    assert [each.value for each in rows if isinstance(each, ReadingRow)] == [
        each.value for each in summary.readings if each.value
    ]
    assert len([each for each in rows if isinstance(each, SaidRow)]) == len(summary.said_by)


def test_a_value_that_was_undone_is_undone_in_every_table(tmp_path: Path) -> None:
    RUNS["undone"](tmp_path / "run")
    rows = noted(tmp_path / "run")
    torques = [each for each in rows if isinstance(each, ReadingRow) and each.step == "torque"]
    assert [(each.value, each.undone, each.affirmed) for each in torques] == [
        ("15", True, False),
        ("16", False, True),
    ]
    steps = [each for each in rows if isinstance(each, StepRow) and each.step == "torque"]
    assert [(each.value, each.undone) for each in steps] == [("15", True), ("16", False)]


def test_a_rejected_record_does_not_stand_as_finished(tmp_path: Path) -> None:
    hold(tmp_path / "run")
    give(tmp_path / "run", BAD)
    record = record_of(noted(tmp_path / "run"))
    assert (record.stands, record.review) == (Stands.REJECTED.value, Word.REJECTED.value)
    assert record.why.startswith("REJECTED by Vera Holm")
    assert "the torque was never checked" in record.why


def test_what_was_rejected_and_is_not_finished_is_told_as_rejected(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("pin fitted",))
    give(tmp_path / "run", BAD)
    assert record_of(noted(tmp_path / "run")).stands == Stands.REJECTED.value


def test_a_word_is_noted_as_far_as_it_counts(tmp_path: Path) -> None:
    hold(tmp_path / "run")
    assert record_of(noted(tmp_path / "run")).review == Word.NONE.value
    give(tmp_path / "run")
    record = record_of(noted(tmp_path / "run"))
    assert (record.stands, record.review) == (Stands.FINISHED.value, Word.ACCEPTED.value)
    assert record.review_told.startswith("ACCEPTED by Vera Holm")
    only_ours = Trusted((TrustedKey(KEYS.name, "technician", KEYS.public),))
    record = record_of(noted(tmp_path / "run", Trust(trusted=only_ours)))
    assert record.review == Word.VOID.value
    assert "This word does not count" in record.review_told


def test_a_finding_is_noted_with_who_raised_it_and_whether_it_is_open(tmp_path: Path) -> None:
    RUNS["deferral"](tmp_path / "run")
    [finding] = [each for each in noted(tmp_path / "run") if isinstance(each, FindingRow)]
    assert (finding.step, finding.category, finding.remark) == (
        "cover",
        "part",
        "the hinge is bent",
    )
    assert (finding.is_open, finding.raised_by, finding.closed_by) == (True, "OA417", "")
    assert finding.day == "2031-05-04"  # 22:30 in the hangar; the same day in UTC


def test_people_are_noted_with_what_they_did(tmp_path: Path) -> None:
    RUNS["perfect"](tmp_path / "run")
    people = {
        (each.person, each.did): each.times
        for each in noted(tmp_path / "run")
        if isinstance(each, PersonRow)
    }
    assert people["Tarn Osk (OA417)", "did"] == 9
    assert people["Sefa Lund (OA522)", "read back"] == 2
    assert people["Ines Varga (OA633)", "inspected"] == 2


def test_a_day_is_that_of_the_clock_on_the_wall(tmp_path: Path) -> None:
    """The run begins at 22:30, two hours ahead of UTC, and goes on past midnight there."""
    RUNS["perfect"](tmp_path / "run")
    rows = noted(tmp_path / "run")
    record = record_of(rows)
    assert (record.clock, record.day) == ("2031-05-04 22:30", "2031-05-04")
    assert record.began == "2031-05-04T20:30:00.000+00:00"


def test_a_tool_is_noted_where_it_is_used_and_where_its_number_is_read(ten: Path) -> None:
    rows = noted(ten / "run-0")
    steps = {each.pass_number: each.step for each in rows if isinstance(each, StepRow)}
    wrench = {
        (steps[each.pass_number], each.used)
        for each in rows
        if isinstance(each, ToolRow) and each.key == "TA31"
    }
    assert wrench >= {("wrench-number", False), ("left-bolt", True), ("right-bolt", True)}


@pytest.mark.parametrize("serial", ["TA-31", "ta31", " TA 31 ", "t.a.3.1"])
def test_a_serial_is_one_however_it_is_written(serial: str) -> None:
    assert tool_key(serial) == "TA31"


def a_pipe(record: Path) -> None:
    os.mkfifo(record / "clips" / "pipe")


def a_link(record: Path) -> None:
    (record / "clips" / "away").symlink_to("/etc/passwd")


def a_device_for_the_log(record: Path) -> None:
    (record / "log.jsonl").unlink()
    (record / "log.jsonl").symlink_to("/dev/zero")


def a_folder_for_the_log(record: Path) -> None:
    (record / "log.jsonl").unlink()
    (record / "log.jsonl").mkdir()


def another_task(record: Path) -> None:
    (record / "task.yaml").write_text("- not a task")


def no_text(record: Path) -> None:
    (record / "task.yaml").write_bytes(b"\xff\xfe")


def an_entry_of_the_future(record: Path) -> None:
    log = record / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b'"kind":"spoken"', b'"kind":"danced"', 1))


def a_line_without_end(record: Path) -> None:
    log = record / "log.jsonl"
    with log.open("ab") as file:
        file.truncate(log.stat().st_size + 33_000_000)


DAMAGE: dict[str, tuple[Callable[[Path], object], str]] = {
    "a pipe": (a_pipe, "is a pipe; a record holds only plain files"),
    "a link": (a_link, "is a symbolic link; a record holds only plain files"),
    "a device for the log": (a_device_for_the_log, "is a symbolic link"),
    "no log": (lambda record: (record / "log.jsonl").unlink(), "no record there"),
    "a folder for the log": (a_folder_for_the_log, "Is a directory"),
    "no task": (lambda record: (record / "task.yaml").unlink(), "no record there"),
    "another task": (another_task, "task.yaml"),
    "no text for a task": (no_text, "no record there"),
    "an entry of the future": (an_entry_of_the_future, "nothing is called 'danced'"),
    "a line without end": (a_line_without_end, "log.jsonl has 33 MB, and up to 32 MB are indexed"),
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_a_damaged_record_is_a_row_that_says_so(damage: str, tmp_path: Path) -> None:
    hold(tmp_path / "run")
    does, why = DAMAGE[damage]
    does(tmp_path / "run")
    rows = noted(tmp_path / "run")
    assert len(rows) == 1
    assert record_of(rows).stands == Stands.CANNOT_BE_READ.value
    assert why in record_of(rows).why


@pytest.mark.parametrize(
    ("told", "drawn"),
    [("15", 15.0), ("-1.5", -1.5), ("", None), ("1/3", None), ("1" + "0" * 99, None)],
)
def test_what_cannot_be_drawn_with_others_is_not_drawn(told: str, drawn: float | None) -> None:
    assert rows._drawn(told) == drawn


def test_a_record_that_was_changed_is_read_and_told_not_to_verify(tmp_path: Path) -> None:
    hold(tmp_path / "run")
    log = tmp_path / "run" / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b'"value":"15"', b'"value":"16"', 1))
    record = record_of(noted(tmp_path / "run"))
    assert record.stands == Stands.NOT_AS_WRITTEN.value
    assert record.why.startswith("log.jsonl, entry ")


def test_a_seal_counts_where_its_key_is_trusted(tmp_path: Path) -> None:
    hold(tmp_path / "run")
    assert record_of(noted(tmp_path / "run")).stands == Stands.FINISHED.value
    record = record_of(noted(tmp_path / "run", Trust(trusted=Trusted(()))))
    assert record.stands == Stands.NOT_AS_WRITTEN.value
    assert "no seal that you trust covers them" in record.why


def test_a_mistake_of_ours_at_one_record_is_told_of_that_record(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fails(*_: object) -> None:
        raise ArithmeticError("no such number")

    hold(tmp_path / "run")
    monkeypatch.setattr(noting, "summarise", fails)
    record = record_of(noted(tmp_path / "run"))
    assert record.why == "handsfree itself failed at it (ArithmeticError: no such number)"
    assert "cannot be noted" in caplog.text


def test_a_name_that_cannot_be_seen_is_written_out(tmp_path: Path) -> None:
    folder = Path(os.fsdecode(os.fsencode(tmp_path) + b"/run-\xff\x1b[2J"))
    hold(folder)
    place = Place(b"run-\xff\x1b[2J", folder)
    record = record_of(noting.Noting(Trust()).note(place))
    assert record.name == "run-\\udcff\\x1b[2J"
    assert record.place == b"run-\xff\x1b[2J"
