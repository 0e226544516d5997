"""How many small changes to the product no test notices: `python -m tests.mutation`.

First the tests of the four folders run once, to learn which of them run each line; that is kept for
each file of tests for as long as neither it nor the product changes. Then each change of the sample
is made in a copy of the project, and only those tests run, the likeliest and quickest first, to the
first that fails. A change is killed where one fails, or where they never end. It survives where all
pass, and where no test runs the line at all.

A test of a folder counts only for that folder: a rule of the engine that only a test of the demo
would miss is not tested. Tests marked slow are left out. Prints a block for RESULTS.md.
"""

import argparse
import math
import os
import random
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from queue import SimpleQueue

from rich.console import Console
from rich.progress import Progress, track

from tests.mutation.judging import Judge, Verdict
from tests.mutation.learning import ROOT, Learnt, copied, learn
from tests.mutation.mutants import Module, Mutant, read_module
from tests.mutation.promising import Promising

FOLDERS = ("words", "task", "engine", "record")


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
    with ExitStack() as opened:
        work = Path(opened.enter_context(tempfile.TemporaryDirectory()))
        idle: SimpleQueue[Judge] = SimpleQueue()
        promising = Promising()
        for each in range(jobs):
            idle.put(opened.enter_context(Judge(copied(work / f"copy-{each}"), promising)))
        pool = opened.enter_context(ThreadPoolExecutor(jobs))

        def learnt(folder: str) -> Learnt:
            judge = idle.get()
            try:
                return learn(judge.copy, folder)
            finally:
                idle.put(judge)

        def judged(mutant: Mutant) -> Verdict | None:
            if time.monotonic() > until:
                return None
            judge = idle.get()
            try:
                return judge.judge(mutant, tests[folder_of(mutant)])
            finally:
                idle.put(judge)

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
    os.environ.setdefault("HYPOTHESIS_PROFILE", "all")  # as many examples as in `.ci/run`
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
