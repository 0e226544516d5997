"""After a crash: nothing acknowledged is lost, what is cut is told, and the task ends the same."""

import json
import os
import shutil
from pathlib import Path

import pytest

from handsfree.engine.phase import Phase
from handsfree.record import Record, RecordInUse
from handsfree.record.chain import link, read_chain
from handsfree.record.entries import NoRecord
from handsfree.record.repair import RecordDamaged
from handsfree.record.replay import ReplayDiffers, left_off
from handsfree.record.task_file import read_task_of
from handsfree.record.verify import verify
from tests.engine.conversation import BOTTLE, TO_END
from tests.how_many import one_of
from tests.record.runs import (
    KEYS,
    Clock,
    NoSync,
    Voice,
    entries_of,
    go_on,
    hold,
    lines_of,
    outcome_of,
)

# Every rule of the engine has its turn: doubt, correction, standing by, a refused value.
LONG_SAID = (
    *("pin fitted", "say again", "one five", "negative", "one four", "affirm", "stand by"),
    *("what is that", "go ahead", "two thousand", "three thousand", "affirm"),
    *("kilo delta four seven bravo", "affirm", "right side", "left side", "pin removed"),
)


@pytest.fixture(scope="module")
def long(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("long") / "run"
    assert hold(folder, LONG_SAID, text=BOTTLE, keys=None).phase is Phase.FINISHED
    return folder


@pytest.fixture
def unsealed(tmp_path: Path) -> Path:
    hold(tmp_path / "run", keys=None)
    return tmp_path / "run"


def cut(whole: Path, to: Path, size: int) -> Path:
    """A copy of a record whose log ends after `size` bytes."""
    folder = Path(shutil.copytree(whole, to))
    os.truncate(folder / "log.jsonl", size)
    return folder


def test_the_said_words_of_a_long_run_take_it_to_its_end(long: Path) -> None:
    assert LONG_SAID[-1] == "pin removed"
    assert set(TO_END) & set(LONG_SAID)
    kinds = {entry.kind for entry in entries_of(long)}
    assert kinds >= {"not-heeded", "withdrawn", "stood-by", "went-on", "choice-made", "task-ended"}


@one_of(5)
def test_a_run_that_is_killed_after_any_entry_goes_on_to_the_same_end(
    long: Path, tmp_path: Path, apart: int
) -> None:
    lines = lines_of(long)
    counts = range(0, len(lines) + 1, apart)
    for count in counts:
        folder = cut(long, tmp_path / str(count), len(b"".join(lines[:count])))
        assert go_on(folder, keys=KEYS).phase is Phase.FINISHED
        assert outcome_of(folder) == outcome_of(long)
        assert lines_of(folder)[:count] == lines[:count]
        assert verify(folder).problems == ()
        shutil.rmtree(folder)
    print(f"{len(counts)} ends of a record, each went on to the same end")


@one_of(7)
def test_a_log_cut_at_any_byte_of_its_last_three_entries_keeps_all_before_it(
    unsealed: Path, tmp_path: Path, apart: int
) -> None:
    lines = lines_of(unsealed)
    size = len(b"".join(lines))
    sizes = range(len(b"".join(lines[:-3])), size, apart)
    for each in sizes:
        folder = cut(unsealed, tmp_path / str(each), each)
        kept = [line for line in lines_of(folder) if line.endswith(b"\n")]
        torn = each - len(b"".join(kept))
        # How a whole entry less goes on is tried above: here, what is kept and what is told.
        clock = Clock()
        Record.go_on(folder, clock.utc, clock.since_start, KEYS, NoSync()).close()
        after = lines_of(folder)
        assert after[: len(kept)] == kept
        told = [json.loads(line) for line in after if b'"kind":"tail-cut"' in line]
        assert [tail["size_bytes"] for tail in told] == ([torn] if torn else [])
        assert len(after) == len(kept) + bool(torn)
        assert read_chain(folder).broken is None
        shutil.rmtree(folder)
    print(f"{len(sizes)} cuts mended, no entry lost")


def test_what_is_cut_stays_readable_on_the_log(unsealed: Path) -> None:
    with (unsealed / "log.jsonl").open("ab") as log:
        log.write(b'{"half": "\xff')
    go_on(unsealed)
    told = [entry for entry in entries_of(unsealed) if entry.kind == "tail-cut"]
    assert [each.fields for each in told] == [{"content": '{"half": "\\xff', "size_bytes": 11}]


def test_a_last_line_that_is_no_entry_counts_as_torn(unsealed: Path) -> None:
    """A file system that writes blocks out of order can leave zeros before the end of a line."""
    with (unsealed / "log.jsonl").open("ab") as log:
        log.write(bytes(40) + b"}\n")
    go_on(unsealed)
    assert [entry.kind for entry in entries_of(unsealed)].count("tail-cut") == 1


@one_of(7)
def test_a_crash_at_any_byte_while_mending_still_tells_of_the_cut(
    unsealed: Path, tmp_path: Path, apart: int
) -> None:
    """The entry that tells of it is written over the torn line: here, only so much of it is."""
    whole = len(b"".join(lines_of(unsealed)))
    for torn in (b'{"half', bytes(40) + b"}\n"):
        mended = Path(shutil.copytree(unsealed, tmp_path / "mended"))
        with (mended / "log.jsonl").open("ab") as log:
            log.write(torn)
        Record.go_on(mended, Clock().utc, Clock().since_start, None, NoSync()).close()
        line = lines_of(mended)[-1]
        assert b'"kind":"tail-cut"' in line
        for size in range(0, len(line), apart):
            folder = Path(shutil.copytree(unsealed, tmp_path / "again"))
            with (folder / "log.jsonl").open("ab") as log:
                log.write(line[:size] + torn.rstrip(b"\n")[size:])
            Record.go_on(folder, Clock().utc, Clock().since_start, None, NoSync()).close()
            assert lines_of(folder)[:-1] == lines_of(unsealed)
            assert b'"kind":"tail-cut"' in lines_of(folder)[-1]
            assert read_chain(folder).broken is None
            shutil.rmtree(folder)
        shutil.rmtree(mended)
    assert len(b"".join(lines_of(unsealed))) == whole


@pytest.mark.parametrize("name", ["log.torn", "log.jsonl.torn", "tail", "log.jsonl.part"])
def test_a_file_that_somebody_lays_beside_the_log_never_comes_onto_it(
    unsealed: Path, name: str
) -> None:
    planted = b'{"text":"the valve was found good by the inspector"}'
    (unsealed / name).write_bytes(planted)
    go_on(unsealed)
    assert b"found good" not in (unsealed / "log.jsonl").read_bytes()
    assert "tail-cut" not in {entry.kind for entry in entries_of(unsealed)}
    found = verify(unsealed)
    assert found.problems == ()
    told = () if name.endswith(".part") else (f"{name}: is no part of the record",)
    assert tuple(note.partition(" and was")[0] for note in found.notes[1:]) == told


def test_two_crashes_that_leave_the_same_bytes_are_both_told(unsealed: Path) -> None:
    for _ in range(2):
        with (unsealed / "log.jsonl").open("ab") as log:
            log.write(b'{"')
        Record.go_on(unsealed, Clock().utc, Clock().since_start, None, NoSync()).close()
    told = [entry.fields["content"] for entry in entries_of(unsealed) if entry.kind == "tail-cut"]
    assert told == ['{"', '{"']


def test_an_entry_of_another_version_is_never_taken_for_a_torn_one(unsealed: Path) -> None:
    head = link(lines_of(unsealed)[-1][:-1])
    line = (
        f'{{"by":"A","clips":[],"kind":"redacted","new":1,"offset_ms":99999,"prev":"{head}",'
        f'"reason":"","seq":{len(lines_of(unsealed))},"utc":"2031-05-04T12:00:00.000+00:00"}}\n'
    )
    with (unsealed / "log.jsonl").open("ab") as log:
        log.write(line.encode())
    with pytest.raises(RecordDamaged, match="is no entry"):
        go_on(unsealed)
    assert lines_of(unsealed)[-1] == line.encode()


def test_more_than_a_torn_end_is_never_mended(unsealed: Path) -> None:
    lines = lines_of(unsealed)
    (unsealed / "log.jsonl").write_bytes(b"".join(lines[:4] + lines[5:]))
    before = (unsealed / "log.jsonl").read_bytes()
    with pytest.raises(RecordDamaged, match="run, entry 4: entry 5 stands in its place"):
        go_on(unsealed)
    assert (unsealed / "log.jsonl").read_bytes() == before


def test_a_record_whose_sealed_entries_are_missing_is_not_gone_on_with(tmp_path: Path) -> None:
    hold(tmp_path / "run")
    os.truncate(tmp_path / "run" / "log.jsonl", len(b"".join(lines_of(tmp_path / "run")[:-1])))
    with pytest.raises(RecordDamaged, match="entry 29: was sealed and is missing"):
        go_on(tmp_path / "run")


def test_a_record_whose_sealed_entries_are_others_is_not_gone_on_with(tmp_path: Path) -> None:
    hold(tmp_path / "run")
    hold(tmp_path / "other", ("pin fitted", "nine", "correction one six", "affirm"), keys=None)
    shutil.copy(tmp_path / "other" / "log.jsonl", tmp_path / "run" / "log.jsonl")
    with pytest.raises(RecordDamaged, match="is not what was sealed"):
        go_on(tmp_path / "run")


def test_a_record_with_another_task_is_not_gone_on_with(unsealed: Path) -> None:
    text = (unsealed / "task.yaml").read_text()
    (unsealed / "task.yaml").write_text(text.replace("max: 20", "max: 30"))
    with pytest.raises(RecordDamaged, match=r"entry 0: was written with another task\.yaml"):
        go_on(unsealed)


def test_a_run_is_not_gone_on_with_where_the_engine_would_decide_otherwise(unsealed: Path) -> None:
    other = read_task_of(unsealed).model_copy(update={"title": "Another title"})
    with pytest.raises(ReplayDiffers, match="decides otherwise than the record says"):
        left_off(other, entries_of(unsealed))


def test_a_folder_without_a_record_cannot_be_gone_on_with(tmp_path: Path) -> None:
    with pytest.raises(NoRecord, match="no record there"):
        Record.go_on(tmp_path, Clock().utc, Clock().since_start)


def test_a_record_has_one_writer_at_a_time(unsealed: Path) -> None:
    clock = Clock()
    with (
        Record.go_on(unsealed, clock.utc, clock.since_start),
        pytest.raises(RecordInUse, match="it has one writer at a time"),
    ):
        Record.go_on(unsealed, clock.utc, clock.since_start)


def test_the_people_hear_what_was_done_last_and_measure_again_what_was_not_finished(
    tmp_path: Path,
) -> None:
    voice = Voice()
    hold(tmp_path / "run", ("pin fitted", "one five"))
    go_on(tmp_path / "run", voice=voice)
    assert voice.said[:3] == [
        "Going on from the record.",
        "Done: step one. Fit the pin.",
        "Step two. Read the gauge.",
    ]


def test_each_state_is_confirmed_before_new_work(tmp_path: Path) -> None:
    voice = Voice()
    hold(tmp_path / "run", ("pin fitted", "one five", "affirm"), text=BOTTLE)
    go_on(tmp_path / "run", voice=voice)
    asked = voice.said.index("Look: safety pin fitted. Affirm or negative?")
    assert voice.said[asked + 1].startswith("Step four. Read the pressure.")


def test_the_time_in_between_is_not_running_time(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("pin fitted",))
    before = entries_of(tmp_path / "run")[-1].offset
    go_on(tmp_path / "run")
    after = next(entry for entry in entries_of(tmp_path / "run") if entry.kind == "resumed")
    assert 0 < (after.offset - before).total_seconds() <= 2


def test_a_person_who_takes_over_seals_what_they_add_and_the_first_seal_stays(
    tmp_path: Path,
) -> None:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    from handsfree.record.keys import Keys

    hold(tmp_path / "run", ("pin fitted",))
    go_on(tmp_path / "run", keys=Keys("Second Person", Ed25519PrivateKey.generate()))
    assert [seal.by for seal in verify(tmp_path / "run").seals] == ["T. Person", "Second Person"]
