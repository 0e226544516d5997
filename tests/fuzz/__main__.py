"""`python -m tests.fuzz --minutes N`: new seeds each time, each family in a process of its own.

Prints a Markdown block for RESULTS.md, then all that was wrong, with the seed that makes it again.
Exits with 1 where anything was.
"""

import argparse
import multiprocessing
import os
import resource
import secrets
import sys
import tempfile
import time
from datetime import UTC, datetime
from multiprocessing.connection import Connection
from pathlib import Path

from rich.console import Console
from rich.progress import Progress

from tests.fuzz.family import Verdict
from tests.fuzz.judge import FAMILIES, GOOD, LONGEST_S, Found, judge

_GIB = 1 << 30
# What a library does in C hears no alarm: then the whole process is ended, a while later.
_SILENT_S = 3 * LONGEST_S


def _work(name: str, first: int, pipe: Connection) -> None:
    """Judge one seed after the other, and send what came of each."""
    # What a library in C writes there tells of the input, and is no figure.
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
    with tempfile.TemporaryDirectory() as folder:
        family = FAMILIES[name](Path(folder))
        _, hard = resource.getrlimit(resource.RLIMIT_AS)
        resource.setrlimit(resource.RLIMIT_AS, (_mapped_bytes() + _GIB, hard))
        seed = first
        while True:
            pipe.send((seed, None, ""))
            verdict, told = judge(family, seed)
            pipe.send((seed, verdict, told))
            seed += 1


def _mapped_bytes() -> int:
    """The address space of this process (proc(5), statm)."""
    return int(Path("/proc/self/statm").read_text().split()[0]) * os.sysconf("SC_PAGE_SIZE")


def _tried(name: str, first: int, until: float, most: int, progress: Progress) -> Found:
    """What is found from the seed `first` on, until a time or a number; a dead process is found."""
    found = Found()
    bar = progress.add_task(name, total=most or None)
    context = multiprocessing.get_context("fork")
    seed = first
    while time.monotonic() < until and (not most or found.tried < most):
        ours, theirs = context.Pipe(duplex=False)
        process = context.Process(target=_work, args=(name, seed, theirs), daemon=True)
        process.start()
        theirs.close()
        try:
            while time.monotonic() < until and (not most or found.tried < most):
                if not ours.poll(_SILENT_S):
                    _count(found, name, seed, Verdict.HANG, "in a library, not interrupted")
                    break
                seed, verdict, told = ours.recv()
                if verdict is not None:
                    _count(found, name, seed, verdict, told)
                    progress.advance(bar)
        except EOFError:
            process.join()
            _count(
                found, name, seed, Verdict.TRACEBACK, f"the process ended with {process.exitcode}"
            )
        process.kill()
        process.join()
        seed += 1
    return found


def _count(found: Found, name: str, seed: int, verdict: Verdict, told: str) -> None:
    found.counts[verdict] += 1
    if verdict not in GOOD:
        found.wrong.append(f"{name}, seed {seed}, {verdict.value}: {told}")


def main() -> int:
    """Try, print, and give the exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("--minutes", type=float, default=10, help="for all families together")
    parser.add_argument("--most", type=int, default=0, help="inputs of each family, if fewer")
    parser.add_argument("--seed", type=int, help="the first one; by chance, if not given")
    parser.add_argument("--family", choices=FAMILIES, action="append", help="only these")
    wanted = parser.parse_args()
    first = secrets.randbelow(10**9) if wanted.seed is None else wanted.seed
    names = wanted.family or [*FAMILIES]
    results: dict[str, Found] = {}
    ends = time.monotonic() + wanted.minutes * 60
    with Progress(console=Console(stderr=True), transient=True) as progress:
        for at, name in enumerate(names):
            share = (ends - time.monotonic()) / (len(names) - at)
            until = time.monotonic() + share
            results[name] = _tried(name, first, until, wanted.most, progress)
    _print(results, first)
    for found in results.values():
        for each in found.wrong:
            print(f"\n{each}", file=sys.stderr)
    return 1 if any(found.wrong for found in results.values()) else 0


def _print(results: dict[str, Found], first: int) -> None:
    print(
        f"Measured on {datetime.now(UTC):%Y-%m-%d} on {os.cpu_count()} cores with "
        f"`python -m tests.fuzz`, seeds from {first}.\n"
    )
    heads = ("family", "tried", *(each.value for each in Verdict))
    print(f"| {' | '.join(heads)} |")
    print("|" + " --- |" * len(heads))
    whole = Found()
    for name, found in results.items():
        whole.add(found)
        _row(name, found)
    _row("all", whole)


def _row(name: str, found: Found) -> None:
    counts = (f"{found.counts[each]:,}" for each in Verdict)
    print(f"| {name} | {found.tried:,} | {' | '.join(counts)} |")


if __name__ == "__main__":
    sys.exit(main())
