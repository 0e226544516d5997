"""Redaction: the voice goes, the evidence that it was there stays."""

import errno
import hashlib
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from handsfree.record import Record, RecordNotWritten
from handsfree.record.keys import Keys
from handsfree.record.marks import Stopped
from handsfree.record.redact import ClipNotOnRecord, redact
from handsfree.record.replay import replay
from handsfree.record.task_file import read_task_of
from handsfree.record.verify import verify
from tests.how_many import one_of
from tests.record.faulty_files import FaultyFiles
from tests.record.runs import SMALL_SAID, Clock, NoSync, entries_of, hold, lines_of

OTHER = Keys("Data Officer", Ed25519PrivateKey.from_private_bytes(bytes(32)))
WHY = "the retention time has ended"


@pytest.fixture
def record(tmp_path: Path) -> Path:
    hold(tmp_path / "run")
    return tmp_path / "run"


def sounds(folder: Path) -> list[str]:
    return sorted(path.stem for path in (folder / "clips").iterdir())


def test_the_sound_goes_and_the_record_still_verifies(record: Path) -> None:
    before = lines_of(record)
    gone = redact(record, WHY, OTHER, Clock().utc, files=NoSync())
    assert (len(gone), sounds(record)) == (4, [])
    assert lines_of(record)[: len(before)] == before
    found = verify(record)
    assert found.problems == ()
    assert (found.clips, found.removed) == (0, 4)
    assert [seal.by for seal in found.seals] == ["T. Person", "Data Officer"]


def test_the_record_says_what_was_removed_by_whom_and_why(record: Path) -> None:
    heard = [entry.clip for entry in entries_of(record) if entry.clip]
    redact(record, WHY, OTHER, Clock().utc, files=NoSync())
    last = entries_of(record)[-1]
    assert (last.kind, last.fields) == (
        "redacted",
        {
            "by": "Data Officer",
            "clips": heard,
            "reason": WHY,
            **{"missing": [], "altered": [], "unheard": []},
        },
    )


def test_only_one_clip_can_be_removed(record: Path) -> None:
    first, *others = [entry.clip or "" for entry in entries_of(record) if entry.clip]
    assert redact(record, WHY, OTHER, Clock().utc, (first,), NoSync()) == (first,)
    assert sounds(record) == sorted(others)
    assert verify(record).problems == ()


def test_to_redact_again_removes_nothing_and_says_nothing_new(record: Path) -> None:
    redact(record, WHY, OTHER, Clock().utc, files=NoSync())
    lines = lines_of(record)
    assert redact(record, WHY, OTHER, Clock().utc, files=NoSync()) == ()
    assert lines_of(record) == lines


def test_a_clip_that_nobody_heard_is_refused_and_nothing_is_removed(record: Path) -> None:
    before = sounds(record)
    with pytest.raises(ClipNotOnRecord, match="no entry heard a clip abc"):
        redact(record, WHY, OTHER, Clock().utc, ("abc",), NoSync())
    assert sounds(record) == before


def test_a_record_without_its_sound_is_replayed_to_the_same_decisions(record: Path) -> None:
    redact(record, WHY, OTHER, Clock().utc, files=NoSync())
    turns = list(replay(read_task_of(record), entries_of(record)))
    assert [turn for turn in turns if turn.differences] == []


def test_a_clip_that_comes_back_is_told(record: Path) -> None:
    path = next((record / "clips").iterdir())
    content = path.read_bytes()
    redact(record, WHY, OTHER, Clock().utc, files=NoSync())
    path.write_bytes(content)
    assert "is still there, though an entry says that it was removed" in str(
        verify(record).problems[0]
    )


@one_of(5)
def test_a_redaction_that_fails_at_any_call_can_be_done_again(tmp_path: Path, apart: int) -> None:
    counted = FaultyFiles(at=None)
    hold(tmp_path / "counted")
    redact(tmp_path / "counted", WHY, OTHER, Clock().utc, files=counted)
    places = range(0, len(counted.calls), apart)
    for at in places:
        folder = tmp_path / str(at)
        hold(folder)
        with pytest.raises(RecordNotWritten):
            redact(folder, WHY, OTHER, Clock().utc, files=FaultyFiles(at, errno.EIO))
        # No sound is gone of which the record does not say so.
        assert not [each for each in verify(folder).problems if "is missing, and" in str(each)]
        redact(folder, WHY, OTHER, Clock().utc, files=NoSync())
        assert sounds(folder) == []
        assert verify(folder).problems == ()
    print(f"{len(places)} calls of a redaction failed; each could be done again")


def test_a_clip_that_was_missing_before_is_told_for_good(record: Path) -> None:
    path = sorted((record / "clips").iterdir())[0]
    path.unlink()
    redact(record, WHY, OTHER, Clock().utc, files=NoSync())
    for _ in range(2):
        (problem,) = verify(record).problems
        assert f"clips/{path.name}" in str(problem)
        assert "was missing before the sound was removed" in str(problem)
        redact(record, WHY, OTHER, Clock().utc, files=NoSync())


def test_a_clip_that_was_swapped_before_is_told_for_good_with_what_was_there(record: Path) -> None:
    path = sorted((record / "clips").iterdir())[0]
    path.write_bytes(b"another sound")
    other = hashlib.sha256(b"another sound").hexdigest()
    redact(record, WHY, OTHER, Clock().utc, files=NoSync())
    (problem,) = verify(record).problems
    assert f"was another sound, {other}, before the sound was removed" in str(problem)


def test_a_sound_that_no_entry_heard_is_named_when_it_is_removed(record: Path) -> None:
    sound = b"a voice"
    name = hashlib.sha256(sound).hexdigest()
    (record / "clips" / f"{name}.flac").write_bytes(sound)
    redact(record, WHY, OTHER, Clock().utc, files=NoSync())
    assert entries_of(record)[-1].fields["unheard"] == [name]
    assert sounds(record) == []
    assert verify(record).problems == ()


def test_who_removes_sound_vouches_for_no_work_that_nobody_vouched_for(tmp_path: Path) -> None:
    """Anybody could append it; a data officer who is trusted would else make it good."""
    folder = tmp_path / "run"
    hold(folder, SMALL_SAID[:2])
    with Record.go_on(folder, Clock().utc, Clock().since_start, None, NoSync()) as again:
        again.append(Stopped("pressure", "appended by somebody"))
    before = verify(folder).problems
    assert "nobody vouches for this entry" in str(before)
    redact(folder, WHY, OTHER, Clock().utc, files=NoSync())
    assert sounds(folder) == []
    assert verify(folder).problems == before
    (folder / "seal.json").unlink()  # nor does it help to take the seals away
    redact(folder, WHY, OTHER, Clock().utc, files=NoSync())
    assert "there is no seal" in str(verify(folder).problems)


def test_sound_of_a_run_without_a_key_is_removed_and_sealed_as_ever(tmp_path: Path) -> None:
    hold(tmp_path / "run", keys=None)
    redact(tmp_path / "run", WHY, OTHER, Clock().utc, files=NoSync())
    assert verify(tmp_path / "run").problems == ()
