"""How many small changes to the product no test notices: `python -m tests.mutation`.

First the tests of the four folders run once, to learn which of them run each line. Then each
change of the sample is made in a copy of the project, and only those tests run, the quickest
first, to the first that fails. A change is killed where one fails, or where they never end. It
survives where all pass, and where no test runs the line at all.

A test of a folder counts only for that folder: a rule of the engine that only a test of the demo
would miss is not tested. Tests marked slow are left out. Prints a block for RESULTS.md.
"""

import argparse
import json
import math
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

from rich.console import Console
from rich.progress import Progress, track

from tests.mutation.mutants import Module, Mutant, read_module
from tests.mutation.only import NAMED_IN
from tests.mutation.who_runs import IMPORTING, WRITTEN_TO

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = ("words", "task", "engine", "record")
# The same examples for each mutant, so that a kill is not luck.
_PYTEST = (sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--hypothesis-seed=0")
_STARTING_S = 60  # of pytest, on a busy machine
_TIMES_SLOWER = 10  # than without the change: it never ends


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the tests say of a mutant."""

    mutant: Mutant
    killed: bool
    why: str


@dataclass(frozen=True, slots=True)
class Tests:
    """The tests of one folder: the seconds of each, and which run a line."""

    folder: str
    seconds: dict[str, float]
    runs: dict[str, dict[str, list[int]]]  # module, then test or file of tests, then lines

    def of(self, mutant: Mutant) -> list[str]:
        """Those that run the statement that was changed, the quickest first."""
        found: set[str] = set()
        for who, lines in self.runs.get(str(mutant.module), {}).items():
            if not mutant.lines.isdisjoint(lines):
                # What runs on import is there for every test.
                found |= {each for each in self.seconds if each.startswith(who or IMPORTING)}
        return sorted(found, key=lambda each: self.seconds[each])


def copied(to: Path) -> Path:
    """The files of the project, in a folder of their own, where they can be changed."""
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.check_output(command, cwd=ROOT, text=True)
    for name in {each for each in listed.split("\0") if (ROOT / each).is_file()}:
        (to / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(ROOT / name, to / name)
    return to


def in_its_own(copy: Path) -> str:
    """Where temporary files go: pytest's usual place is shared by all that run on this machine."""
    return f"--basetemp={copy}-temporary"


def learn(copy: Path, folder: str) -> Tests:
    """Run the tests of `folder` as they are. What fails already can notice nothing, and is told."""
    written = copy.parent / f"{folder}.json"
    command = [*_PYTEST, "-p", "tests.mutation.who_runs", in_its_own(copy), f"tests/{folder}"]
    environment = {**os.environ, WRITTEN_TO: str(written)}
    done = subprocess.run(command, cwd=copy, env=environment, capture_output=True, text=True)
    if done.returncode > 1:
        raise SystemExit(f"The tests do not run:\n{done.stdout[-2000:]}{done.stderr[-2000:]}")
    found = json.loads(written.read_text(encoding="utf-8"))
    for each in found.pop("failed"):
        print(f"left out, for it fails as it is: {each}", file=sys.stderr)
    return Tests(folder, **found)


def judge(copy: Path, mutant: Mutant, tests: Tests) -> Verdict:
    """Whether a test fails where `mutant` stands in `copy`, which is mended afterwards.

    What those that run the line do not notice goes to the others of the folder: a line whose result
    is kept is run by the first test only, and others live on what it gave.
    """
    chosen = tests.of(mutant)
    others = sorted(tests.seconds.keys() - set(chosen), key=lambda each: tests.seconds[each])
    file = copy / mutant.module
    before = file.read_text(encoding="utf-8")
    file.write_text(mutant.code, encoding="utf-8")
    try:
        killed_by = _killed_by(copy, chosen, tests) or _killed_by(copy, others, tests)
    finally:
        file.write_text(before, encoding="utf-8")
    return Verdict(mutant, bool(killed_by), killed_by or f"{len(chosen)} tests run it")


def _killed_by(copy: Path, names: list[str], tests: Tests) -> str:
    """What is noticed by the tests that are named; empty: nothing."""
    if not names:
        return ""
    file = copy.parent / f"{copy.name}.json"
    file.write_text(json.dumps(names), encoding="utf-8")
    limit = _STARTING_S + _TIMES_SLOWER * sum(tests.seconds[each] for each in names)
    files = sorted({each.partition("::")[0] for each in names})
    command = [*_PYTEST, "-x", "-p", "tests.mutation.only", in_its_own(copy), *files]
    environment = {**os.environ, NAMED_IN: str(file)}
    try:
        done = subprocess.run(
            command, cwd=copy, env=environment, capture_output=True, text=True, timeout=limit
        )
    except subprocess.TimeoutExpired:
        return "never ends"
    if done.returncode == 0:
        return ""
    failed = [each for each in done.stdout.splitlines() if each.startswith(("FAILED", "ERROR"))]
    if done.returncode in (4, 5):  # pytest was called wrongly, or found no test
        raise SystemExit(f"pytest could not be started:\n{done.stdout}{done.stderr}")
    return failed[0] if failed else "the tests break off"


def sampled(modules: list[Module], size: int, seed: int) -> list[Mutant]:
    """Changes drawn without replacement, each one of all modules as likely as any other."""
    every = [(module, at) for module in modules for at in range(len(module.changes))]
    drawn = random.Random(seed).sample(every, min(size, len(every)))
    return [module.mutant(at) for module, at in drawn]


def judge_all(sample: list[Mutant], jobs: int, until: float, console: Console) -> Iterator[Verdict]:
    """The mutants in their order, some at a time, each in a copy that no other uses.

    After `until`, by the monotonic clock, none is begun: the sample is in no order of its own, so
    what was judged by then is a smaller sample.
    """
    with tempfile.TemporaryDirectory() as work, ThreadPoolExecutor(jobs) as pool:
        copies: SimpleQueue[Path] = SimpleQueue()
        for each in range(jobs):
            copies.put(copied(Path(work) / f"copy-{each}"))

        def learnt(folder: str) -> Tests:
            copy = copies.get()
            try:
                return learn(copy, folder)
            finally:
                copies.put(copy)

        def judged(mutant: Mutant) -> Verdict | None:
            if time.monotonic() > until:
                return None
            copy = copies.get()
            try:
                return judge(copy, mutant, tests[folder_of(mutant)])
            finally:
                copies.put(copy)

        folders = sorted({folder_of(each) for each in sample})
        with Progress(console=console, transient=True) as progress:
            learning = progress.track(pool.map(learnt, folders), len(folders), description="Tests")
            tests = {each.folder: each for each in learning}
            judging = progress.track(pool.map(judged, sample), len(sample), description="Mutants")
            yield from (each for each in judging if each is not None)


def folder_of(mutant: Mutant) -> str:
    """The folder whose tests must notice it."""
    return mutant.module.parts[1]


def interval(killed: int, of: int) -> tuple[float, float]:
    """Wilson's 95 % interval of a share (Wilson, JASA 22, 1927; formula from memory)."""
    z, share = 1.96, killed / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    return middle - half, middle + half


def main() -> int:
    """Print the kill rate and each survivor."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("--size", type=int, default=200, help="of the sample")
    parser.add_argument("--minutes", type=float, default=math.inf, help="after which none is begun")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1, help="at a time")
    parser.add_argument("--module", default="", help="only modules with this in their path")
    chosen = parser.parse_args()
    os.environ.setdefault("HANDSFREE_SPEECH", str(ROOT.parent / "shared" / "data"))
    console, begun = Console(stderr=True), time.monotonic()
    paths = [
        path.relative_to(ROOT)
        for folder in FOLDERS
        for path in sorted((ROOT / "handsfree" / folder).rglob("*.py"))
        if chosen.module in str(path)
    ]
    reading = track(paths, "Reading", console=console, transient=True)
    modules = [read_module(ROOT, each) for each in reading]
    sample = sampled(modules, chosen.size, chosen.seed)
    until = begun + 60 * chosen.minutes
    verdicts: list[Verdict] = []
    for each in judge_all(sample, chosen.jobs, until, console):
        verdicts.append(each)
        if not each.killed:
            print(f"{each.mutant.diff}\n  survives: {each.why}\n", flush=True)
    print(f"| folder | changes | tried | killed | share |\n{'| --- ' * 5}|")
    for folder in (*FOLDERS, "all"):
        here = [each for each in verdicts if folder in ("all", folder_of(each.mutant))]
        changes = [len(m.changes) for m in modules if folder in ("all", m.path.parts[1])]
        if here:
            killed = sum(each.killed for each in here)
            low, high = interval(killed, len(here))
            print(
                f"| {folder} | {sum(changes)} | {len(here)} | {killed} "
                f"| {killed / len(here):.0%} ({low:.0%} to {high:.0%}) |"
            )
    print(f"\nSeed {chosen.seed}, {(time.monotonic() - begun) / 60:.0f} minutes.")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
