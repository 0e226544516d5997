"""How well and how quickly it hears live: `python -m tests.benchmarks.live [PART...]`.

Parts: syllables, noise, answer, gaps, pauses, start, waiting, memory; all by default. `--tuning`
takes the tuning half of the speakers, for choosing `endpoint.Rules` and the `waits`; the reporting
half is for RESULTS.md.
AN4 stands for what people say, and `demo/noise.py` for a hangar: no hangar was recorded.
Microphones are made of arrays; `waiting` also runs the whole program over PulseAudio where that is
installed, and `gaps` nothing else. `answer`, `waiting` and `gaps` run in real time, the others as
fast as the machine does.
"""

import argparse
import os
from itertools import cycle, islice

from tests.benchmarks.live.answering import answer, start
from tests.benchmarks.live.boundaries import noise, syllables
from tests.benchmarks.live.cost import memory, waiting
from tests.benchmarks.live.gaps import gaps
from tests.benchmarks.live.pauses import pauses
from tests.benchmarks.speech import REPORTING, TUNING, an4_clips

_ALL = (syllables, noise, answer, gaps, pauses, start, waiting, memory)
PARTS = {each.__name__: each for each in _ALL}


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.live")
    parser.add_argument("parts", nargs="*", choices=[*PARTS, []], metavar="PART")
    parser.add_argument("--tuning", action="store_true", help="the tuning half of the speakers")
    parser.add_argument("--most", type=int, default=500, help="utterances")
    given = parser.parse_args()
    wanted = TUNING if given.tuning else REPORTING
    every = an4_clips("reading", "command", "spelled", "other")
    half = [clip for clip in every if clip.half == wanted]
    # A half has fewer than 500: some come again, after another gap and in other noise.
    clips = list(islice(cycle(half), given.most))
    load = os.getloadavg()
    print(f"{wanted} half, {os.cpu_count()} cores, load average {load[0]:.1f} at the start.\n")
    for name in given.parts or PARTS:
        PARTS[name](clips)
        print()


if __name__ == "__main__":
    main()
