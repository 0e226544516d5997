"""Verify: every byte of a record counts, and the first entry that is wrong is named."""

import json
import re
import shutil
from pathlib import Path

import pytest
import rfc8785
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from handsfree.record import Record
from handsfree.record.chain import BEGINNING, link
from handsfree.record.entries import NoRecord, RecordUnreadable
from handsfree.record.keys import Keys
from handsfree.record.marks import Stopped
from handsfree.record.seal import Seal, add, newest, sign, write_seals
from handsfree.record.verify import Stage, Verified, verify
from tests.how_many import one_of
from tests.record.runs import KEYS, Clock, NoSync, go_on, hold, lines_of


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


@one_of(7)
@pytest.mark.parametrize("flip", [0x01, 0x20], ids=["lowest bit", "letter case"])
@pytest.mark.parametrize("name", ["task.yaml", "seal.json", "clip"])
def test_every_flipped_byte_beside_the_log_is_detected(
    record: Path, name: str, flip: int, apart: int
) -> None:
    path = next((record / "clips").iterdir()) if name == "clip" else record / name
    content = path.read_bytes()
    places = range(0, len(content), apart)
    for at in places:
        path.write_bytes(flipped(content, at, flip))
        assert verify(record).problems, f"byte {at} of {name}"
    print(f"{name}: {len(places)} bytes flipped by {flip:#04x}, {len(places)} detected")


@one_of(7)
def test_every_flipped_byte_of_the_log_is_detected_and_its_entry_is_named(
    tmp_path: Path, apart: int
) -> None:
    hold(tmp_path / "run", ())
    path = tmp_path / "run" / "log.jsonl"
    content = path.read_bytes()
    misnamed = []
    places = range(0, len(content), apart)
    for at in places:
        # Each bit in turn, and every second time letter case, which hexadecimal could forgive.
        path.write_bytes(flipped(content, at, 0x20 if at % 2 else 1 << at // 2 % 8))
        found = verify(tmp_path / "run")
        assert found.problems, f"byte {at}"
        if first_bad(found) != content.count(b"\n", 0, at):
            misnamed.append(at)
    assert misnamed == []
    print(f"log.jsonl: {len(places)} bytes flipped, {len(places)} detected")


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


def test_the_first_and_the_newest_seal_of_each_key_are_kept() -> None:
    other = Keys("S. Person", Ed25519PrivateKey.generate())
    kept: tuple[Seal, ...] = ()
    made = [sign(each, at, "a", "") for at, each in enumerate((KEYS, other, KEYS, KEYS, other))]
    for seal in made:
        kept = add(kept, seal)
    assert kept == (made[0], made[1], made[3], made[4])
    assert newest(kept) == (made[3], made[4])


def without_a_refused_reading(folder: Path) -> None:
    """The log again with a right chain, without what went wrong: anybody can make that."""
    head, lines = BEGINNING, []
    entries = [json.loads(line) for line in lines_of(folder)]
    # What the technician said wrong first, and what was answered: heard, refused, said, spoken.
    at = next(n for n, each in enumerate(entries) if each.get("words") == ["nine"])
    until = next(n for n, each in enumerate(entries) if each.get("words", [""])[0] == "correction")
    for seq, each in enumerate(entries[:at] + entries[until:]):
        line = rfc8785.dumps(each | {"seq": seq, "prev": head})
        head = link(line)
        lines.append(line + b"\n")
    for each in entries[at:until]:
        if "clip" in each:
            (folder / "clips" / f"{each['clip']}.flac").unlink()
    (folder / "log.jsonl").write_bytes(b"".join(lines))


def sealed(folder: Path, keys: Keys) -> None:
    clock = Clock()
    with Record.go_on(folder, clock.utc, clock.since_start, keys, NoSync()) as record:
        record.seal()


@pytest.mark.parametrize("named", [None, "T. Person"])
def test_a_record_that_was_opened_without_a_key_says_until_where(
    tmp_path: Path, named: str | None
) -> None:
    """Whoever had the folder could make its log anew; no name that it gives itself hides that."""
    folder = tmp_path / "run"
    hold(folder, keys=None)
    if named is not None:
        path = folder / "log.jsonl"
        path.write_bytes(path.read_bytes().replace(b'"by":null', b'"by":"T. Person"', 1))
    without_a_refused_reading(folder)
    sealed(folder, KEYS)
    last = len(lines_of(folder)) - 1
    found = verify(folder, KEYS.public)
    assert (found.problems, found.keyless_until) == ((), last)
    assert found.notes[0].startswith(f"opened without a key until entry {last}")


def test_a_record_opened_without_a_key_and_gone_on_with_one_says_where_it_came(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "run"
    hold(folder, ("pin fitted",), keys=None)
    before = len(lines_of(folder))
    go_on(folder)
    found = verify(folder)
    assert found.keyless_until is not None
    assert before <= found.keyless_until < before + 10 < found.entries
    assert f"opened without a key until entry {found.keyless_until}:" in found.notes[0]


def test_a_record_opened_with_a_key_says_nothing_of_that(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    hold(folder, ("pin fitted",))
    assert verify(folder).keyless_until is None
    go_on(folder, keys=Keys("S. Person", Ed25519PrivateKey.generate()))
    assert verify(folder).keyless_until is None


def test_a_record_says_how_far_its_run_has_come(record: Path, tmp_path: Path) -> None:
    assert verify(record).stage is Stage.FINISHED
    begun = tmp_path / "begun"
    hold(begun, ("pin fitted",))
    assert verify(begun).stage is Stage.UNFINISHED
    clock = Clock()
    with Record.go_on(begun, clock.utc, clock.since_start, KEYS, NoSync()) as log:
        log.append(Stopped("pressure", "test"))
        found = verify(begun)
        assert found.stage is Stage.BEING_WRITTEN
        assert found.problems == ()  # the next seal comes when it listens next
        assert found.sealed is not None
        assert found.sealed.entries == found.entries - 1
        # A key that must vouch for all of it does not yet.
        assert verify(begun, KEYS.public).problems
    assert verify(begun).stage is Stage.UNFINISHED
    assert verify(begun).problems


def test_one_damaged_byte_anywhere_is_one_message(tmp_path: Path) -> None:
    """Also where much follows from it: clips of later entries, and the seals of two people."""
    folder = tmp_path / "run"
    hold(folder, ("pin fitted", "nine"))
    go_on(folder, keys=Keys("S. Person", Ed25519PrivateKey.from_private_bytes(bytes(32))))
    log = folder / "log.jsonl"
    content = log.read_bytes()
    entries = len(lines_of(folder))
    tried = 0
    for at in range(0, len(content), 29):
        log.write_bytes(flipped(content, at, 1))
        found = verify(folder)
        assert len(found.problems) == 1, [str(each) for each in found.problems]
        problem = found.problems[0]
        entry = content.count(b"\n", 0, at)
        # Of the last one, what is still an entry is found by its seal only.
        files = ("log.jsonl",) if entry + 1 < entries else ("log.jsonl", "seal.json")
        assert problem.where in [f"{file}, entry {entry}" for file in files]
        # A damaged end of line makes one entry of two.
        assert problem.entries_after in (entries - entry - 1, max(entries - entry - 2, 0))
        assert not any("no entry heard it" in note for note in found.notes)
        tried += 1
    log.write_bytes(content)
    for path in (folder / "seal.json", folder / "task.yaml", next((folder / "clips").iterdir())):
        whole = path.read_bytes()
        for at in range(0, len(whole), 5):
            path.write_bytes(flipped(whole, at, 1))
            assert len(verify(folder).problems) == 1
            tried += 1
        path.write_bytes(whole)
    assert verify(folder).problems == ()
    print(f"{tried} damaged bytes, one message each")


def test_what_follows_from_a_damaged_entry_is_counted(record: Path) -> None:
    lines = lines_of(record)
    (record / "log.jsonl").write_bytes(b"".join([*lines[:5], b"{" + lines[5], *lines[6:]]))
    assert [str(each) for each in verify(record).problems] == [
        "log.jsonl, entry 5: is no entry: it was changed or damaged. "
        f"{len(lines) - 6} entries and 1 seal after it follow from it."
    ]


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


def test_a_folder_in_place_of_a_time_stamp_is_told(record: Path) -> None:
    (record / "seal.tsr").mkdir()
    (problem,) = verify(record).problems
    assert str(problem) == "seal.tsr: is a folder, where a time stamp would be a file."
