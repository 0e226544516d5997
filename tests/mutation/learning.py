"""Which tests of a folder may run each line of the product, and how long each takes."""

import hashlib
import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from tests.mutation.mutants import Mutant
from tests.mutation.who_runs import IMPORTING, WRITTEN_TO

ROOT = Path(__file__).resolve().parents[2]
PYTEST_ARGUMENTS = (
    "-q",
    "-p",
    "no:cacheprovider",
    "--hypothesis-seed=0",  # the same examples for each mutant, so that a kill is not luck
)
_KEPT_IN = ROOT / ".cache" / "mutation"
_QUICK_S = 0.5  # such a test is tried before any that takes longer, whatever it is about


@dataclass(frozen=True, slots=True)
class Learnt:
    """The tests of one folder: the seconds of each, and which files of them run a line."""

    folder: str
    seconds: dict[str, float]
    runs: dict[str, dict[str, list[int]]]  # module, then file of tests, then lines

    def of(self, mutant: Mutant) -> list[str]:
        """Those of each file that runs the statement that was changed, in the order to try them in.

        The quick ones first, and of these the ones that are about its module; then by seconds.
        """
        found: set[str] = set()
        for who, lines in self.runs.get(str(mutant.module), {}).items():
            if not mutant.lines.isdisjoint(lines):
                whose = "" if who == IMPORTING else f"{who}::"
                found |= {each for each in self.seconds if each.startswith(whose)}
        about = f"/test_{mutant.module.stem}.py::"
        return sorted(
            found,
            key=lambda each: (
                self.seconds[each] > _QUICK_S,
                about not in each,
                self.seconds[each],
                each,
            ),
        )


def copied(to: Path) -> Path:
    """The files of the project, in a folder of their own, where they can be changed."""
    for name in _files():
        (to / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(ROOT / name, to / name)
    return to


def in_its_own(copy: Path) -> str:
    """Where temporary files go: pytest's usual place is shared by all that run on this machine."""
    return f"--basetemp={copy}-temporary"


def learn(copy: Path, folder: str) -> Learnt:
    """Run the tests of `folder` as they are. What fails already can notice nothing, and is told.

    What was learnt is kept for as long as no file of the product or of those tests changes.
    """
    written = _KEPT_IN / f"{folder}-{_state_of(folder)}.json"
    if not written.exists():
        _KEPT_IN.mkdir(parents=True, exist_ok=True)
        new = copy.parent / f"{folder}.json"
        plugin = ("-p", "tests.mutation.who_runs")
        arguments = (*PYTEST_ARGUMENTS, *plugin, in_its_own(copy), f"tests/{folder}")
        environment = {**os.environ, WRITTEN_TO: str(new)}
        command = [sys.executable, "-m", "pytest", *arguments]
        done = subprocess.run(command, cwd=copy, env=environment, capture_output=True, text=True)
        if done.returncode > 1:
            raise SystemExit(f"The tests do not run:\n{done.stdout[-2000:]}{done.stderr[-2000:]}")
        shutil.copyfile(new, written)
    found = json.loads(written.read_text(encoding="utf-8"))
    for each in found.pop("failed"):
        print(f"left out, for it fails as it is: {each}", file=sys.stderr)
    return Learnt(folder, **found)


def _files() -> list[str]:
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.check_output(command, cwd=ROOT, text=True)
    return sorted({each for each in listed.split("\0") if (ROOT / each).is_file()})


def _state_of(folder: str) -> str:
    """The SHA-256 of all that can change what the tests of `folder` run, shortened."""
    digest = hashlib.sha256()
    for name in _files():
        if not name.startswith("tests/") or name.startswith(
            (f"tests/{folder}/", "tests/mutation/")
        ):
            digest.update(name.encode() + b"\0" + (ROOT / name).read_bytes())
    return digest.hexdigest()[:16]
