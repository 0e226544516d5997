"""Which tests of a folder may run each line of the product, and how long each takes."""

import hashlib
import json
import os
import shutil
import subprocess
import sys
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

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
_NO_TESTS = 5  # pytest's status where all tests of the files are left out
_QUICK_S = 0.5  # such a test is tried before any that takes longer, whatever it is about


@dataclass(frozen=True, slots=True)
class Learnt:
    """The tests of one folder: the seconds of each, and which files of them run a line."""

    folder: str
    seconds: dict[str, float]
    runs: Mapping[str, Mapping[str, Collection[int]]]  # module, then file of tests, then lines

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

    What was learnt of a file of tests is kept for as long as neither it nor the product changes.
    """
    _KEPT_IN.mkdir(parents=True, exist_ok=True)
    kept = {file: _KEPT_IN / f"{state}.json" for file, state in _states(folder).items()}
    missing = [file for file, each in kept.items() if not each.exists()]
    if missing:
        for file, found in _measured(copy, missing).items():
            kept[file].write_text(json.dumps(found), encoding="utf-8")
    seconds: dict[str, float] = {}
    runs: defaultdict[str, defaultdict[str, set[int]]] = defaultdict(lambda: defaultdict(set))
    for file, each in kept.items():
        found = json.loads(each.read_text(encoding="utf-8"))
        seconds |= found["seconds"]
        for who in (file, IMPORTING):
            for module, lines in found["runs"].get(who, {}).items():
                runs[module][who].update(lines)
        for failed in found["failed"]:
            print(f"left out, for it fails as it is: {failed}", file=sys.stderr)
    return Learnt(folder, seconds, runs)


def _measured(copy: Path, files: list[str]) -> dict[str, dict[str, Any]]:
    """What is learnt of each of these files of tests by running them."""
    new = copy.parent / "learnt.json"
    plugin = ("-p", "tests.mutation.who_runs")
    arguments = (*PYTEST_ARGUMENTS, *plugin, in_its_own(copy), *files)
    environment = {**os.environ, WRITTEN_TO: str(new)}
    command = [sys.executable, "-m", "pytest", *arguments]
    done = subprocess.run(command, cwd=copy, env=environment, capture_output=True, text=True)
    if done.returncode not in (0, 1, _NO_TESTS):
        raise SystemExit(f"The tests do not run:\n{done.stdout[-2000:]}{done.stderr[-2000:]}")
    return by_file(json.loads(new.read_text(encoding="utf-8")), files)


def by_file(found: dict[str, Any], files: list[str]) -> dict[str, dict[str, Any]]:
    """What `who_runs` wrote of all, for each file of tests apart."""
    of_each: dict[str, dict[str, Any]] = {
        file: {"seconds": {}, "failed": [], "runs": {file: {}, IMPORTING: {}}} for file in files
    }
    for name, seconds in found["seconds"].items():
        of_each[name.partition("::")[0]]["seconds"][name] = seconds
    for name in found["failed"]:
        of_each[name.partition("::")[0]]["failed"].append(name)
    for module, who_runs in found["runs"].items():
        for file, of in of_each.items():
            for who in (file, IMPORTING):
                if who in who_runs:
                    of["runs"][who][module] = who_runs[who]
    return of_each


def _files() -> list[str]:
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.check_output(command, cwd=ROOT, text=True)
    return sorted({each for each in listed.split("\0") if (ROOT / each).is_file()})


def _states(folder: str) -> dict[str, str]:
    """Each file of tests, and the SHA-256 of all that can change what it runs, shortened."""
    shared, files = hashlib.sha256(), []
    for name in _files():
        if name.startswith(f"tests/{folder}/") and Path(name).name.startswith("test_"):
            files.append(name)
        elif name.endswith(".md"):
            continue  # what only people read
        elif not name.startswith("tests/") or name.startswith(f"tests/{folder}/"):
            shared.update(name.encode() + b"\0" + (ROOT / name).read_bytes())
    states = {}
    for name in files:
        of_file = shared.copy()
        of_file.update(name.encode() + b"\0" + (ROOT / name).read_bytes())
        states[name] = of_file.hexdigest()[:16]
    return states
