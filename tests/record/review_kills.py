"""Kill a supervisor's word at one call after the other: `python -m tests.record.review_kills 7`.

Each try is a fork that kills itself with SIGKILL at its so many-th call of the file system, where a
line is taken byte by byte; the argument says how many calls lie between two tries. Then the same
word is given again. Prints what was counted.
"""

import os
import shutil
import signal
import sys
import tempfile
from collections import Counter
from pathlib import Path

from handsfree.record.verify import verify
from tests.record.faulty_files import FaultyFiles
from tests.record.runs import hold
from tests.record.test_reviewing import give


class DeadlyFiles(FaultyFiles):
    """Takes one byte at a time, and ends the process at one of its calls."""

    def _fails(self, call: str) -> bool:
        if super()._fails(call):
            os.kill(os.getpid(), signal.SIGKILL)
        return False

    def write(self, descriptor: int, content: bytes) -> int:
        self._fails("write")
        return os.write(descriptor, content[:1])


def main() -> None:
    """Kill as often as the calls allow, and print what was counted."""
    apart = int(sys.argv[1])
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as place:
        whole = Path(place) / "whole"
        hold(whole)
        fresh = Path(place) / "fresh"
        shutil.copytree(whole, fresh)
        counted = DeadlyFiles(at=None)
        give(whole, files=counted)
        for at in range(0, len(counted.calls), apart):
            folder = Path(place) / str(at)
            shutil.copytree(fresh, folder)
            _kill(folder, at)
            found = verify(folder)
            # Whole and sealed, or not counted: there is nothing between.
            assert found.word is None or not found.problems
            counts["counted" if found.word is not None else "not counted"] += 1
            counts["seen and not counted"] += bool(found.reviews) and found.word is None
            give(folder)
            found = verify(folder)
            assert not found.problems, found.problems
            assert found.word is not None
            assert len(found.reviews) == 1
            counts["kills"] += 1
    for name, count in counts.items():
        print(f"{name}: {count}")


def _kill(folder: Path, at: int) -> None:
    child = os.fork()
    if child == 0:
        try:
            give(folder, files=DeadlyFiles(at))
        finally:
            os._exit(0)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status), f"call {at} was not reached"


if __name__ == "__main__":
    main()
