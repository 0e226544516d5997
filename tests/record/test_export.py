"""Export: nothing is lost, nothing is filled in that only certifying staff may fill in."""

import csv
import json
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest

from handsfree.record.export import ExportNotWritten, export
from handsfree.record.labour import labour
from handsfree.record.readings import readings
from handsfree.record.summary import summarise
from handsfree.record.summary_text import as_text
from handsfree.record.task_file import read_task_of
from handsfree.record.verify import verify
from tests.engine.conversation import BOTTLE
from tests.record.runs import entries_of, hold, lines_of
from tests.record.test_resume import LONG_SAID


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("export") / "run"
    hold(folder, LONG_SAID, text=BOTTLE)
    return folder


@pytest.fixture(scope="module")
def exported(folder: Path) -> Path:
    to = folder.parent / "out"
    export(folder, read_task_of(folder), verify(folder), to)
    return to


def exported_to(to: Path, folder: Path) -> None:
    export(folder, read_task_of(folder), verify(folder), to)


def section(exported: Path, head: str) -> str:
    text = (exported / "work-summary.md").read_text()
    return text.split(f"## {head}", 1)[1].split("\n## ", 1)[0]


# 14 CFR 43.9(a), field by field (from memory).


def test_43_9_a_1_describes_the_work_and_refers_to_data(exported: Path) -> None:
    part = section(exported, "(1) Work")
    assert "Check a bottle. Task bottle, revision 4, after QX 12, revision 7." in part
    assert "Aircraft: Any 1. Component: bottle." in part
    assert "Finished: every step of the way taken is done (7)." in part


def test_43_9_a_2_gives_the_date_of_completion(exported: Path) -> None:
    assert "2031-05-04 (UTC)" in section(exported, "(2) Date of completion")


def test_43_9_a_2_gives_no_date_where_the_task_is_not_completed(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("pin fitted",))
    exported_to(tmp_path / "o", tmp_path / "run")
    assert "not completed" in section(tmp_path / "o", "(2) Date of completion")


def test_43_9_a_3_names_the_person_who_did_the_work(exported: Path) -> None:
    assert "T. Person" in section(exported, "(3) Name")


def test_43_9_a_3_leaves_the_name_blank_where_no_key_tells_it(tmp_path: Path) -> None:
    hold(tmp_path / "run", keys=None)
    exported_to(tmp_path / "o", tmp_path / "run")
    assert section(tmp_path / "o", "(3) Name").split("\n")[2] == "______________________"


def test_43_9_a_4_is_left_blank_for_certifying_staff(exported: Path) -> None:
    part = section(exported, "(4) Approval for return to service")
    assert "Left blank, for licensed certifying staff." in part
    for each in ("Signature", "Certificate number", "Kind of certificate"):
        assert f"{each}: ______________________" in part.splitlines()
    assert "T. Person" not in part


def test_nobody_is_asked_to_sign_what_is_not_finished_or_does_not_verify(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("pin fitted",), keys=None)
    exported_to(tmp_path / "o", tmp_path / "run")
    assert section(tmp_path / "o", "(4) Approval").splitlines()[2] == (
        "There is nothing to sign here: it is not finished, and its record does not verify."
    )
    assert "Signature" not in (tmp_path / "o" / "work-summary.md").read_text()


def test_nobody_is_asked_to_sign_what_replays_otherwise(folder: Path) -> None:
    task, entries = read_task_of(folder), entries_of(folder)
    text = as_text(summarise(task, entries, verify(folder), "head", differences=2))
    assert "REPLAY DIFFERS in 2 decisions." in text
    assert "There is nothing to sign here: a replay decides otherwise." in text
    assert "Signature" not in text


def test_the_summary_says_that_nothing_is_certified_and_that_it_verifies(exported: Path) -> None:
    text = (exported / "work-summary.md").read_text()
    assert "This tool certifies nothing." in text
    assert "It verifies from end to end." in text
    assert "> Everything here is invented." in text


def test_the_summary_says_what_does_not_verify(tmp_path: Path) -> None:
    hold(tmp_path / "run", keys=None)
    exported_to(tmp_path / "o", tmp_path / "run")
    text = (tmp_path / "o" / "work-summary.md").read_text()
    assert "**It does not verify:**" in text
    assert "there is no seal" in text


def test_every_reading_is_a_row_also_those_that_did_not_count(exported: Path) -> None:
    rows = list(csv.DictReader(StringIO((exported / "readings.csv").read_bytes().decode())))
    told = [(row["step"], row["value"], row["verdict"], row["affirmed"]) for row in rows]
    assert told == [
        ("temperature", "15", "inside limits", "no"),
        ("temperature", "14", "inside limits", "yes"),
        ("pressure", "2000", "below minimum", "no"),
        ("pressure", "3000", "inside limits", "yes"),
    ]
    assert [row["lowest"] for row in rows] == ["-20", "-20", "2840", "2840"]
    assert all(Path(row["clip"]).read_bytes().startswith(b"fLaC") for row in rows)
    assert {(row["score"], row["person"], row["heard"], row["source"]) for row in rows} == {
        ("1", "technician", "from clips", "test")
    }
    assert {(row["record"], row["task"], row["revision"]) for row in rows} == {
        ("run", "bottle", "4")
    }


def test_a_reading_that_was_refused_is_a_row_with_the_reason(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("pin fitted", "two psi", "one five", "affirm"))
    rows = readings(entries_of(tmp_path / "run"))
    assert [(row.value, row.said_in, row.verdict, row.affirmed) for row in rows] == [
        ("", "psi", "another unit", "no"),
        ("15", "bar", "inside limits", "yes"),
    ]


def test_a_value_corrected_where_it_was_said_is_a_row_too(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("pin fitted", "one four correction one five", "affirm"))
    rows = readings(entries_of(tmp_path / "run"))
    assert [(row.figures, row.verdict, row.affirmed) for row in rows] == [
        ("14", "corrected in the same utterance", "no"),
        ("15", "inside limits", "yes"),
    ]


def test_the_whole_has_every_entry_and_seal(folder: Path, exported: Path) -> None:
    whole = json.loads((exported / "record.json").read_text())
    assert whole["entries"] == [json.loads(line) for line in lines_of(folder)]
    assert whole["seals"] == json.loads((folder / "seal.json").read_text())["seals"]
    assert whole["task"] == BOTTLE
    assert whole["problems"] == []


def test_labour_is_the_running_time_with_stand_by_apart(folder: Path) -> None:
    entries = entries_of(folder)
    times = {each.step: each for each in labour(entries)}
    assert list(times) == [step.id for step in read_task_of(folder).steps]
    began = next(each.offset for each in entries if each.kind == "step-begun")
    ended = next(each.offset for each in entries if each.kind == "task-ended")
    total = sum((each.work + each.stand_by for each in times.values()), timedelta(0))
    assert total == ended - began
    stood = next(each.offset for each in entries if each.kind == "stood-by")
    went = next(each.offset for each in entries if each.kind == "went-on")
    waited = [each.step for each in times.values() if each.stand_by]
    assert waited == ["pressure"]
    assert times["pressure"].stand_by == went - stood


def test_an_export_is_not_written_over(folder: Path, exported: Path) -> None:
    with pytest.raises(ExportNotWritten, match="Name a new folder; nothing is written over"):
        export(folder, read_task_of(folder), verify(folder), exported)
