"""Random conversations of people: `python -m tests.benchmarks.conversations [NUMBER [FROM]]`.

20,000 where no number is said, from the seed FROM on. Whatever must hold is checked after each
event (see `tests/engine/people_model.py`); the first conversation that breaks it is told by its
seed.
"""

import random
import statistics
import sys
import time
from collections import Counter

from rich.progress import track

from tests.engine.people_model import CHANNELS, EVERYDAY, PAUSES, SCORES, WORDS, Model

_SEED = 8
_TURNS = 30
_RIGHT = 0.55  # of what is said is the right answer, else no conversation comes far
_PLAUSIBLE, _EVERYDAY, _SILENT, _ENDS = 0.15, 0.1, 0.03, 0.01


def conversation(seed: int) -> Model:
    """One conversation to its end, and its record replayed."""
    chance = random.Random(seed)
    model = Model()
    for _ in range(_TURNS):
        if model.finished:
            break
        draw = chance.random()
        if draw < _RIGHT:
            model.hear(model.right_answer())
        elif draw < _RIGHT + _PLAUSIBLE:
            model.hear(chance.choice(model.plausible()))
        elif draw < _RIGHT + _PLAUSIBLE + _EVERYDAY:
            model.hear(chance.choice(EVERYDAY), channel=chance.choice(CHANNELS))
        elif draw < _RIGHT + _PLAUSIBLE + _EVERYDAY + _SILENT:
            model.silence()
        elif draw < _RIGHT + _PLAUSIBLE + _EVERYDAY + _SILENT + _ENDS:
            model.end_of_the_program()
        else:
            model.now += chance.choice(PAUSES)
            model.hear(chance.choice(WORDS), chance.choice(SCORES), chance.choice(CHANNELS))
    model.end()
    model.check_replay()
    return model


def main() -> None:
    """Hold as many as the argument says, and print what was counted."""
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else _SEED
    counts: Counter[str] = Counter()
    words: list[int] = []
    began = time.process_time()
    for seed in track(range(first, first + number), "conversations"):
        try:
            model = conversation(seed)
        except Exception:
            print(f"broken by the conversation of seed {seed}")
            raise
        counts += model.counts
        words += model.spoken_words
    took = time.process_time() - began
    print(f"conversations: {number}, {number / took:.0f} a second of one processor")
    for what, count in sorted(counts.items()):
        print(f"{what}: {count}")
    twentieths = statistics.quantiles(words, n=20)
    print(
        f"words spoken for each step done: median {statistics.median(words):.0f}, "
        f"95th percentile {twentieths[-1]:.0f}"
    )


if __name__ == "__main__":
    main()
