"""How long `check` looks at every way through a task, and in how much memory.

    .venv/bin/python -m tests.benchmarks.proof

prints a Markdown block for RESULTS.md. Each task is generated from a seed and proved in a process
of its own, from reading the file to the last way, so that its memory is its own. Nothing in the
tasks is real, and all of them are sound: a fault would end the search for its shortest way early.
"""

import json
import os
import random
import resource
import subprocess
import sys
import time
from datetime import UTC, datetime
from typing import Any

from handsfree.task.read import read_and_prove

SEED = 6
STEPS = (35, 75, 150, 300, 600)
STATES = (4, 10, 20, 40)
RULE_STATES = (2, 4, 6, 8, 10)  # in one never rule


def generated(steps: int, states: int, rule_states: int = 3, seed: int = SEED) -> str:
    """A sound task in which as much as possible stays open.

    The states are pairs of locks of which never both may be open. Each pair can be left shut, or
    with one of the two open, because the steps that open may be deferred, and two of three steps
    can lead back. So the whole task has about `steps` times three to the power of `states` / 2
    positions. Every rule names one pair, and further locks up to `rule_states`.
    """
    draw = random.Random(seed)
    pairs = [(f"valve-{at}", f"bleed-{at}") for at in range(states // 2)]
    names = [name for pair in pairs for name in pair]
    made: list[dict[str, Any]] = []
    for block in range(-(-steps // 3)):
        valve, bleed = pairs[block // 2 % len(pairs)]
        shuts, opens = (valve, bleed) if block % 2 == 0 else (bleed, valve)
        made += _block(len(made), shuts, opens)
    task = {
        "task": "generated",
        "title": "A generated task",
        "revision": "1",
        "approved_data": {"reference": "QX 1", "revision": "1"},
        "applicability": {"aircraft": "Any 1", "component": "locks"},
        "states": {
            name: {
                "called": "lock",
                "values": ["shut", "open"],
                "start": "shut",
                "end": ["shut", "open"],
            }
            for name in names
        },
        "never": [
            {
                "when": dict.fromkeys(_rule(draw, pair, names, rule_states), "open"),
                "because": "both are open",
            }
            for pair in pairs * 2
        ],
        "steps": made[:steps],
    }
    return json.dumps(task)


def _rule(
    draw: random.Random, pair: tuple[str, str], names: list[str], rule_states: int
) -> list[str]:
    others = [name for name in names if name not in pair]
    return [*pair, *draw.sample(others, min(rule_states - 2, len(others)))]


def _block(at: int, shuts: str, opens: str) -> list[dict[str, Any]]:
    """Three steps that shut one lock of a pair, and open the other or leave it."""
    limits = {"min": "0.20", "max": "0.80"}
    length = {"reading": "length", "unit": "mm", "resolution": "0.05", "limits": limits}
    return [
        {
            "id": f"shut-{at}",
            "instruction": "Shut the lock.",
            "expect": {"confirm": "lock shut"},
            "sets": {shuts: "shut"},
        },
        {
            "id": f"open-{at}",
            "instruction": "Open the other lock.",
            "expect": {"choose": ["lock open", "lock stiff"], "required": "lock open"},
            "needs": {shuts: "shut"},
            "sets": {opens: "open"},
            "then": {"lock stiff": f"shut-{at}"},
            "deferral": {"authority": "the duty engineer"},
        },
        {
            "id": f"play-{at}",
            "instruction": "Measure the play of the lock.",
            "expect": length,
            "then": {"below": f"shut-{at}"},
        },
    ]


def measured(steps: int, states: int, rule_states: int) -> dict[str, Any]:
    """Prove one task in a process of its own."""
    words = map(str, (steps, states, rule_states))
    command = [sys.executable, "-m", "tests.benchmarks.proof", *words]
    return dict(json.loads(subprocess.check_output(command)))


def prove_one(steps: int, states: int, rule_states: int) -> None:
    """Prove one task, and print what it took as JSON."""
    text = generated(steps, states, rule_states)
    began, began_cpu = time.perf_counter(), time.process_time()
    _, proof, _ = read_and_prove(text, "generated.yaml")
    took = {"s": time.perf_counter() - began, "cpu_s": time.process_time() - began_cpu}
    # Linux counts the largest size in KiB.
    mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({**took, "mib": mib, **{k: getattr(proof, k) for k in _COUNTS}}))


_COUNTS = ("walks", "positions", "moves")


def main() -> None:
    """Measure every curve, and print it."""
    print(
        f"Measured on {datetime.now(UTC):%Y-%m-%d} on {os.cpu_count()} cores with "
        f"`python -m tests.benchmarks.proof`, seed {SEED}. Time and memory are of one process, "
        "from the text of the file to the last way; reading the file is part of it.\n"
    )
    print("| steps | states | states in a rule | walks | positions | moves | s | CPU s | MiB |")
    print("|" + " --- |" * 9)
    curves = [
        *((steps, 20, 3) for steps in STEPS),
        *((300, states, 3) for states in STATES),
        *((300, 20, rule_states) for rule_states in RULE_STATES),
    ]
    for curve in dict.fromkeys(curves):
        found = measured(*curve)
        steps, states, rule_states = curve
        print(
            f"| {steps} | {states} | {rule_states} | {found['walks']} | {found['positions']:,} "
            f"| {found['moves']:,} | {found['s']:.2f} | {found['cpu_s']:.2f} "
            f"| {found['mib']:.0f} |",
            flush=True,
        )


if __name__ == "__main__":
    if len(sys.argv) > 1:
        prove_one(*map(int, sys.argv[1:]))
    else:
        main()
