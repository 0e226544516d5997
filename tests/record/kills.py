"""Kill a run at random moments: `python -m tests.record.kills 30`, in a process of its own.

Each run is a fork that talks through a pipe: what it says, it says only when it is on the record.
It is killed with SIGKILL after a random part of the time that a whole run takes; then the record
is gone on with, again and again killed on the way, until the task ends. Prints what was counted.
"""

import os
import random
import re
import select
import signal
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from handsfree.engine.phase import Phase
from handsfree.record.entries import NoRecord
from handsfree.record.verify import verify
from tests.engine.conversation import BOTTLE
from tests.record.runs import NoSync, Voice, entries_of, go_on, hold, lines_of, outcome_of
from tests.record.test_resume import LONG_SAID

SEED = 7
_KILLS_AT_MOST_A_RUN = 3


class Bytewise(NoSync):
    """Takes a line byte by byte, so that a kill often falls within one.

    Without waiting for the disk, which would be most of the time: what is written outlives the
    process with or without `fsync`, and to cut the power is another test.
    """

    def write(self, descriptor: int, content: bytes) -> int:
        return os.write(descriptor, content[:1])


class PipeVoice(Voice):
    """Acknowledges into a pipe: the reader knows what was said, however the speaker ends."""

    def __init__(self, pipe: int) -> None:
        super().__init__()
        self._pipe = pipe

    def say(self, text: str) -> None:
        super().say(text)
        os.write(self._pipe, text.encode() + b"\n")


def killed_after(seconds: float, folder: Path) -> tuple[list[str], bool]:
    """Begin a run or go on with one, and kill it; what it said, and whether it was killed."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        # Nothing of the parent's may run in the child after this, whatever happens.
        status = 1
        try:
            os.close(reading)
            _run(folder, PipeVoice(writing))
            status = 0
        finally:
            os._exit(status)
    os.close(writing)
    said, was_killed = _listen(reading, child, time.monotonic() + seconds)
    _, status = os.waitpid(child, 0)
    os.close(reading)
    if not was_killed and status != 0:
        raise AssertionError(f"the run failed by itself: {status}")
    return said, os.WIFSIGNALED(status)


def _run(folder: Path, voice: Voice) -> None:
    files = Bytewise()
    try:
        go_on(folder, files=files, voice=voice)
    except NoRecord:
        for left in folder.rglob("*"):  # it was killed before it had begun
            if left.is_file():
                left.unlink()
        for left in sorted(folder.rglob("*"), reverse=True):
            left.rmdir()
        hold(folder, LONG_SAID, text=BOTTLE, files=files, voice=voice)


def _listen(reading: int, child: int, until: float) -> tuple[list[str], bool]:
    heard, was_killed = b"", False
    while True:
        left = until - time.monotonic()
        ready, _, _ = select.select([reading], [], [], max(left, 0) if not was_killed else None)
        if not ready:
            os.kill(child, signal.SIGKILL)
            was_killed = True
            continue
        part = os.read(reading, 65_536)
        if not part:
            return heard.decode().splitlines(), was_killed
        heard += part


def main() -> None:
    """Kill as often as the argument says, and print what was counted."""
    wanted = int(sys.argv[1])
    chance = random.Random(SEED)
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as place:
        whole = Path(place) / "whole"
        lasts = min(_time_of_a_run(Path(place) / each) for each in ("first", "second", "whole"))
        runs = 0
        while counts["kills"] < wanted:
            runs += 1
            _survive(Path(place) / str(runs), whole, lasts, chance, counts)
    print(f"kills: {counts['kills']}")
    print(f"runs to the same end: {runs}")
    print(f"sentences acknowledged: {counts['said']}, lost: {counts['lost']}")
    print(f"ends of a log that were torn, cut and told: {counts['cut']}")
    print(f"killed before the record had begun: {counts['not begun']}")


def _time_of_a_run(folder: Path) -> float:
    before = time.monotonic()
    assert hold(folder, LONG_SAID, text=BOTTLE, files=Bytewise()).phase is Phase.FINISHED
    return time.monotonic() - before


def _survive(
    folder: Path, whole: Path, lasts: float, chance: random.Random, counts: Counter[str]
) -> None:
    for _ in range(_KILLS_AT_MOST_A_RUN):
        said, was_killed = killed_after(chance.uniform(0, lasts), folder)
        counts["kills"] += was_killed
        if not (folder / "log.jsonl").exists():
            assert said == []
            counts["not begun"] += 1
            continue
        written = Counter(
            sentence
            for entry in entries_of(folder)
            if entry.kind in ("say", "reminded")
            for sentence in _sentences(str(entry.fields["text"]))
        )
        spoken = Counter(sentence for each in said for sentence in _sentences(each))
        counts["said"] += spoken.total()
        counts["lost"] += (spoken - written).total()
    killed_after(3600, folder)
    assert outcome_of(folder) == outcome_of(whole), folder
    assert verify(folder).problems == ()
    counts["cut"] += sum(b'"kind":"tail-cut"' in line for line in lines_of(folder))


def _sentences(text: str) -> list[str]:
    """One by one: a read back and its question are two entries, and spoken in one breath."""
    return [each.strip() for each in re.findall(r"[^.?!]+[.?!]", text)]


if __name__ == "__main__":
    main()
