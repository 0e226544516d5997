"""How long `handsfree check` takes for plain steps, each with a phrase of its own.

    .venv/bin/python -m tests.benchmarks.plain_steps

prints a Markdown block for RESULTS.md. Each task is checked by the command in a process of its own,
from its start to its end: reading, every way, and every phrase held against every other.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from itertools import islice, product
from pathlib import Path

STEPS = (100, 300, 1_000, 3_000)
HEAD = """\
task: plain
title: Plain steps
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: panel}
steps:
"""
# Words of the trade: each phrase is a place, a thing and what was done to it.
_PLACES = "left right upper lower forward aft inner outer front rear".split()  # noqa: SIM905 words
_NUMBERS = "first second third fourth".split()  # noqa: SIM905 words
_THINGS = "panel bracket hose valve cover filter bolt seal plug clamp".split()  # noqa: SIM905 words
_DONE = "fitted removed closed cleaned tightened greased drained marked".split()  # noqa: SIM905 words


def plain(steps: int) -> str:
    """A task of so many steps, none of which needs or sets anything."""
    phrases = islice(product(_DONE, _PLACES, _NUMBERS, _THINGS), steps)
    return HEAD + "".join(
        f"  - id: s{at}\n    instruction: Do it.\n"
        f"    expect: {{confirm: {place} {number} {thing} {done}}}\n"
        for at, (done, place, number, thing) in enumerate(phrases)
    )


def main() -> None:
    """Measure the curve, and print it."""
    print(
        f"Measured on {datetime.now(UTC):%Y-%m-%d} on {os.cpu_count()} cores with "
        "`python -m tests.benchmarks.plain_steps`.\n"
    )
    print("| plain steps | s | CPU s | MiB at most |")
    print("| --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder:
        for steps in STEPS:
            file = Path(folder, f"plain-{steps}.yaml")
            file.write_text(plain(steps), encoding="utf-8")
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            began = time.perf_counter()
            command = [sys.executable, "-m", "handsfree", "check", str(file)]
            subprocess.run(command, capture_output=True, check=True)
            took = time.perf_counter() - began
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
            print(
                f"| {steps:,} | {took:.1f} | {cpu:.1f} | {after.ru_maxrss / 1024:.0f} |", flush=True
            )


if __name__ == "__main__":
    main()
