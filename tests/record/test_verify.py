"""Verify: every byte of a record counts, and the first entry that is wrong is named."""

import json
import re
import shutil
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from handsfree.record.chain import link
from handsfree.record.entries import NoRecord, RecordUnreadable
from handsfree.record.keys import Keys
from handsfree.record.seal import add, sign, write_seals
from handsfree.record.verify import Verified, verify
from tests.record.runs import KEYS, NoSync, go_on, hold, lines_of


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("whole") / "run"
    hold(folder)
    return folder


@pytest.fixture
def record(whole: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(whole, tmp_path / "run"))


def first_bad(found: Verified) -> int | None:
    named = re.search(r"entry (\d+)", found.problems[0].where)
    return int(named[1]) if named else None


def flipped(content: bytes, at: int, bits: int) -> bytes:
    return content[:at] + bytes([content[at] ^ bits]) + content[at + 1 :]


def test_a_finished_record_is_all_as_written(record: Path) -> None:
    found = verify(record)
    assert found.problems == ()
    assert found.notes == ()
    assert (found.entries, found.clips, len(found.seals)) == (len(lines_of(record)), 4, 1)
    assert (found.seals[0].by, found.seals[0].key) == ("T. Person", KEYS.public)


@pytest.mark.parametrize("flip", [0x01, 0x20], ids=["lowest bit", "letter case"])
@pytest.mark.parametrize("name", ["task.yaml", "seal.json", "clip"])
def test_every_flipped_byte_beside_the_log_is_detected(record: Path, name: str, flip: int) -> None:
    path = next((record / "clips").iterdir()) if name == "clip" else record / name
    content = path.read_bytes()
    for at in range(len(content)):
        path.write_bytes(flipped(content, at, flip))
        assert verify(record).problems, f"byte {at} of {name}"
    print(f"{name}: {len(content)} bytes flipped by {flip:#04x}, {len(content)} detected")


def test_every_flipped_byte_of_the_log_is_detected_and_its_entry_is_named(tmp_path: Path) -> None:
    hold(tmp_path / "run", ())
    path = tmp_path / "run" / "log.jsonl"
    content = path.read_bytes()
    misnamed = []
    for at in range(len(content)):
        # Each bit in turn, and every second time letter case, which hexadecimal could forgive.
        path.write_bytes(flipped(content, at, 0x20 if at % 2 else 1 << at // 2 % 8))
        found = verify(tmp_path / "run")
        assert found.problems, f"byte {at}"
        if first_bad(found) != content.count(b"\n", 0, at):
            misnamed.append(at)
    assert misnamed == []
    print(f"log.jsonl: {len(content)} bytes flipped, {len(content)} detected")


def test_every_entry_that_is_taken_out_is_missed(record: Path) -> None:
    lines = lines_of(record)
    for at in range(len(lines)):
        (record / "log.jsonl").write_bytes(b"".join(lines[:at] + lines[at + 1 :]))
        found = verify(record)
        assert first_bad(found) == at
    print(f"{len(lines)} deletions detected")


def test_every_entry_that_is_doubled_is_detected(record: Path) -> None:
    lines = lines_of(record)
    for at in range(len(lines)):
        (record / "log.jsonl").write_bytes(b"".join(lines[: at + 1] + lines[at:]))
        assert first_bad(verify(record)) == at + 1
    print(f"{len(lines)} duplications detected")


def test_every_two_entries_that_change_places_are_detected(record: Path) -> None:
    lines = lines_of(record)
    swaps = 0
    for at in range(len(lines)):
        for other in range(at + 1, len(lines)):
            swapped = lines[:]
            swapped[at], swapped[other] = swapped[other], swapped[at]
            (record / "log.jsonl").write_bytes(b"".join(swapped))
            assert first_bad(verify(record)) == at
            swaps += 1
    print(f"{swaps} swaps detected")


def test_a_cut_at_any_byte_of_the_last_three_entries_is_detected(record: Path) -> None:
    content = (record / "log.jsonl").read_bytes()
    last_three = len(b"".join(lines_of(record)[:-3]))
    for size in range(last_three, len(content)):
        (record / "log.jsonl").write_bytes(content[:size])
        assert verify(record).problems, f"cut to {size} bytes"
    print(f"{len(content) - last_three} cuts detected")


def test_a_blank_line_is_detected(record: Path) -> None:
    lines = lines_of(record)
    (record / "log.jsonl").write_bytes(b"".join([*lines[:3], b"\n", *lines[3:]]))
    assert first_bad(verify(record)) == 3


def test_a_clip_that_is_missing_names_the_entry_that_heard_it(record: Path) -> None:
    for at, line in enumerate(lines_of(record)):
        named = re.search(rb'"clip":"([0-9a-f]+)"', line)
        if named:
            path = record / "clips" / f"{named[1].decode()}.flac"
            content = path.read_bytes()
            path.unlink()
            found = verify(record)
            assert first_bad(found) == at
            assert "the clip is missing, and no entry says that it was removed" in str(
                found.problems[0]
            )
            path.write_bytes(content)


def test_a_file_among_the_clips_that_nobody_heard_is_told(record: Path) -> None:
    (record / "clips" / "extra.flac").write_bytes(b"what is this")
    assert [str(each) for each in verify(record).problems] == [
        "clips/extra.flac: no entry heard it."
    ]


def test_a_clip_that_a_crash_left_before_its_entry_is_noted(record: Path, tmp_path: Path) -> None:
    hold(tmp_path / "other", ("one five",))
    (clip,) = (tmp_path / "other" / "clips").iterdir()
    shutil.copy(clip, record / "clips" / clip.name)
    if clip.stem in {each["clip"] for each in map(json.loads, lines_of(record)) if "clip" in each}:
        pytest.fail("the clip must be one that this record did not hear")
    found = verify(record)
    assert found.problems == ()
    assert found.notes == (f"clips/{clip.name}: no entry heard it.",)


def test_a_file_beside_the_record_is_noted_and_is_no_problem(record: Path) -> None:
    (record / "speech.wav").touch()
    found = verify(record)
    assert found.problems == ()
    assert found.notes == ("speech.wav: is no part of the record and was not checked.",)


def test_another_task_file_is_told(record: Path) -> None:
    (record / "task.yaml").write_text("task: other\n")
    assert [str(each) for each in verify(record).problems] == [
        "task.yaml, entry 0: is not the task that the record was opened with."
    ]


def test_a_record_without_a_seal_is_whole_but_nobody_vouches_for_it(tmp_path: Path) -> None:
    hold(tmp_path / "run", keys=None)
    found = verify(tmp_path / "run")
    assert [str(each) for each in found.problems] == [
        "seal.json, entry 0: there is no seal, so nobody vouches for the record; 'handsfree seal' "
        "makes one."
    ]


def test_entries_after_the_seal_are_told(record: Path, whole: Path) -> None:
    lines = lines_of(record)
    early = sign(KEYS, 5, link(lines[4][:-1]), "2031")
    write_seals(record, (early,), NoSync())
    found = verify(record)
    assert first_bad(found) == 5
    assert "nobody vouches for this entry and those after it" in str(found.problems[0])


def test_a_seal_by_another_person_is_not_enough_where_a_key_is_named(record: Path) -> None:
    other = "ab" * 32
    assert verify(record, key=KEYS.public).problems == ()
    assert [str(each) for each in verify(record, key=other).problems] == [
        f"seal.json: it is not sealed with the key {other}."
    ]


def test_who_has_no_key_cannot_seal_what_they_changed(record: Path, tmp_path: Path) -> None:
    """The whole log made again, with a right chain, beside the seal of the first: it tells."""
    hold(tmp_path / "other", ("pin fitted", "nine", "correction one one", "affirm"), keys=None)
    shutil.copy(record / "seal.json", tmp_path / "other" / "seal.json")
    (problem,) = verify(tmp_path / "other").problems
    assert "the seal of T. Person: it is over another log" in str(problem)


def test_a_forger_with_a_key_of_their_own_is_found_by_the_key(record: Path) -> None:
    forger = Keys("T. Person", Ed25519PrivateKey.generate())
    shutil.rmtree(record)
    hold(record, ("pin fitted", "one one", "affirm"), keys=forger)
    assert verify(record).problems == ()
    assert verify(record, key=KEYS.public).problems != ()


def test_the_newest_seal_of_each_key_is_kept() -> None:
    other = Keys("S. Person", Ed25519PrivateKey.generate())
    first, second, third = sign(KEYS, 1, "a", ""), sign(other, 2, "b", ""), sign(KEYS, 3, "c", "")
    assert add(add(add((), first), second), third) == (second, third)


def test_a_log_that_cannot_be_read_is_told(record: Path) -> None:
    (record / "log.jsonl").unlink()
    (record / "log.jsonl").mkdir()
    with pytest.raises(RecordUnreadable, match=r"cannot be read \(Is a directory\)\."):
        verify(record)


def test_a_folder_without_a_record_is_misuse(tmp_path: Path) -> None:
    with pytest.raises(NoRecord, match="no record there") as told:
        verify(tmp_path)
    assert told.value.exit_code == 2


def test_with_a_key_what_came_after_its_last_seal_is_named(tmp_path: Path) -> None:
    """Somebody made another key of the same name, went on with the record, and finished it."""
    folder = tmp_path / "run"
    hold(folder, ("pin fitted",))
    sealed = len(lines_of(folder))
    assert verify(folder, key=KEYS.public).problems == ()
    namesake = Keys(KEYS.name, Ed25519PrivateKey.from_private_bytes(bytes(32)))
    go_on(folder, keys=namesake)
    assert verify(folder).problems == ()
    (problem,) = verify(folder, key=KEYS.public).problems
    assert str(problem) == (
        f"seal.json, entries {sealed} to {len(lines_of(folder)) - 1}: "
        f"no seal of the key {KEYS.public} covers them."
    )
