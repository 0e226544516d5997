"""A disk that fails at any call: nothing acknowledged is lost, and the person is told."""

import errno
import shutil
from collections import Counter
from pathlib import Path

import pytest

from handsfree.engine.phase import Phase
from handsfree.engine.wording.failures import record_not_written
from handsfree.record import Record, RecordNotWritten
from handsfree.record.entries import NoRecord
from handsfree.record.marks import Stopped
from handsfree.record.verify import verify
from tests.how_many import one_of
from tests.record.faulty_files import FaultyFiles
from tests.record.runs import (
    SMALL,
    SMALL_SAID,
    Clock,
    Voice,
    go_on,
    hold,
    lines_of,
    outcome_of,
    story,
)

TOLD = record_not_written().text
FAULTS = {
    "no space left": (errno.ENOSPC, False),
    "input/output error": (errno.EIO, False),
    "read-only file system": (errno.EROFS, False),
    "no space left after a part": (errno.ENOSPC, True),
}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("whole") / "run"
    hold(folder)
    return folder


def acknowledged_is_on_record(folder: Path, voice: Voice) -> bool:
    """Whether everything that was said, but for what tells of the failure, is on the log."""
    said = " ".join(text for text in voice.said if text != TOLD)
    written = [fields["text"] for kind, fields in story(folder) if kind == "say"]  # type: ignore[index]
    return " ".join(written).startswith(said)  # some of it is spoken in one breath


@one_of(5)
@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_at_any_call_of_a_run_loses_nothing_and_is_told(
    whole: Path, tmp_path: Path, fault: str, apart: int
) -> None:
    error, partial = FAULTS[fault]
    counted = FaultyFiles(at=None)
    hold(tmp_path / "counted", files=counted)
    failed: Counter[str] = Counter()
    calls = list(enumerate(counted.calls))[::apart]
    for at, call in calls:
        if partial and call != "write":
            continue
        folder = tmp_path / str(at)
        voice = Voice()
        with pytest.raises(RecordNotWritten, match="The task holds here"):
            hold(folder, files=FaultyFiles(at, error, partial=partial), voice=voice)
        failed[call] += 1
        # A record that could not even begin says so through the command line.
        if voice.said:
            assert voice.said[-1] == TOLD
            assert acknowledged_is_on_record(folder, voice)
        # What is left on the disk does not depend on the error's number: go on once for each way.
        if partial or error == errno.ENOSPC:
            goes_on_to_the_same_end(folder, whole, was_begun=bool(voice.said))
        shutil.rmtree(folder, ignore_errors=True)
    assert failed == Counter(call for _, call in calls if not partial or call == "write")
    print(f"{fault}: {failed.total()} calls failed, {dict(failed)}; nothing was lost")


def goes_on_to_the_same_end(folder: Path, whole: Path, was_begun: bool) -> None:
    try:
        end = go_on(folder)
    except NoRecord:
        assert not was_begun
        return
    assert end.phase is Phase.FINISHED
    assert outcome_of(folder) == outcome_of(whole)
    assert verify(folder).problems == ()


@one_of(5)
def test_a_fault_at_any_call_of_going_on_loses_nothing(
    whole: Path, tmp_path: Path, apart: int
) -> None:
    lines = lines_of(whole)

    def torn(folder: Path) -> Path:
        hold(folder, SMALL_SAID[:2], keys=None)
        with (folder / "log.jsonl").open("ab") as log:
            log.write(lines[-1][:40])
        return folder

    counted = FaultyFiles(at=None)
    go_on(torn(tmp_path / "counted"), files=counted)
    places = range(0, len(counted.calls), apart)
    for at in places:
        folder = torn(tmp_path / str(at))
        before = lines_of(folder)[:-1]
        with pytest.raises(RecordNotWritten):
            go_on(folder, files=FaultyFiles(at, errno.ENOSPC, partial=True))
        assert lines_of(folder)[: len(before)] == before
        assert go_on(folder).phase is Phase.FINISHED
        assert outcome_of(folder) == outcome_of(whole)
        assert verify(folder).problems == ()
        tails = [line for line in lines_of(folder) if b'"kind":"tail-cut"' in line]
        # Told of in an entry that was torn itself, it is quoted twice.
        assert any(lines[-1][:20].decode() in each.decode().replace("\\", "") for each in tails)
    print(f"{len(places)} calls of going on failed; nothing was lost")


def test_after_one_failure_the_record_takes_nothing_more(tmp_path: Path) -> None:
    """A second fsync can report a success that the first one lost: nothing is tried again."""
    counted = FaultyFiles(at=None)
    hold(tmp_path / "counted", files=counted)
    at = len(counted.calls) // 2
    files = FaultyFiles(counted.calls.index("sync", at), lasts=False)
    with pytest.raises(RecordNotWritten):
        hold(tmp_path / "run", files=files)
    assert files.calls[-1] == "sync"


def test_an_entry_whose_writing_was_interrupted_is_the_last_one(tmp_path: Path) -> None:
    """Ctrl-C in the middle of a line: what would follow on that line could never be read."""

    class Interrupted(FaultyFiles):
        def sync(self, descriptor: int) -> None:
            if self.calls.count("write") == 3:
                raise KeyboardInterrupt
            super().sync(descriptor)

    clock = Clock()
    with Record(
        tmp_path / "run", SMALL, clock.utc, clock.since_start, None, Interrupted(at=None)
    ) as record:
        with pytest.raises(KeyboardInterrupt):
            record.append(Stopped("pin", "interrupted"))
        with pytest.raises(RecordNotWritten, match="an earlier entry could not be written"):
            record.append(Stopped("pin", "interrupted"))


def test_the_error_says_what_where_and_what_to_do() -> None:
    error = RecordNotWritten(Path("run/log.jsonl"), OSError(errno.EROFS, "Read-only file system"))
    assert str(error) == (
        "run/log.jsonl: cannot be written (Read-only file system). The task holds here, for "
        "nothing more could be proved. What was acknowledged before is on the record. Make room or "
        "mend the disk, and go on with 'handsfree run --resume'."
    )
