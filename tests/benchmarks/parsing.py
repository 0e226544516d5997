"""How long it takes to parse an utterance: `.venv/bin/python -m tests.benchmarks.parsing`.

Each step of each shipped task, with what is listened for there: the phrase or value that the step
expects, said in several ways, every standard word, and words that are none of the phrases. The
phrase set is made anew for each utterance, as the engine does it. Time is that of the processor:
what other programs take would hide what the parser takes. Aim: 0.2 ms.
"""

import statistics
import time

from handsfree.engine.advance import before_start
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.state import State
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.words.standard import StandardWord
from handsfree.words.units import speak_unit
from tests.shipped_tasks import TASKS

_ROUNDS = 20
_NO_PHRASE = ("can you hand me the other socket please", "two niner five zero apples", "")


def _said(expected: Expectation | None) -> tuple[str, ...]:
    match expected:
        case ConfirmExpected(confirm=phrase):
            return (phrase,)
        case ChoiceExpected(choose=phrases):
            return phrases
        case ReadingExpected():
            name, unit = expected.names[-1], speak_unit(expected.unit)
            return (
                "two niner five zero",
                f"{name} two thousand nine hundred fifty {unit}",
                f"{name} two niner correction three zero five zero {unit}",
                "minus one two three decimal four five six",
                f"correction zero decimal four five {unit}",
            )
        case IdentityExpected(identity=name):
            return (f"{name} victor kilo four zero eight six", "two zero seven bravo")
        case DateExpected(date=name):
            return (
                f"{name} one five march two zero two seven",
                "three zero september twenty seventy one correction one five march two thousand",
                "one five zero three two zero two seven",
            )
    return ()


def _measured(task: Task, state: State, words: tuple[str, ...]) -> float:
    """Milliseconds for one utterance."""
    began = time.thread_time()
    phrases_now(task, state).parse(words)
    return (time.thread_time() - began) * 1000


def main() -> None:
    """Print the figures."""
    times: list[float] = []
    slowest = (0.0, "")
    first: list[float] = []
    for path in TASKS:
        task = read_task(path.read_text(encoding="utf-8"), path.name)
        for at, step in enumerate(task.steps):
            state = before_start(task).at_step(at)
            standard = (spelling for word in StandardWord for spelling in word.spellings)
            utterances = [
                tuple(each.split()) for each in (*_said(step.expect), *standard, *_NO_PHRASE)
            ]
            # The first one at a step also builds the automata, while the step is being spoken.
            first.append(_measured(task, state, utterances[0]))
            for words in utterances * _ROUNDS:
                taken = _measured(task, state, words)
                times.append(taken)
                slowest = max(slowest, (taken, " ".join(words)))
    times.sort()
    print(f"{len(times)} utterances at {len(first)} steps of {len(TASKS)} tasks")
    print(f"median {statistics.median(times):.3f} ms")
    print(f"p99    {times[int(len(times) * 0.99)]:.3f} ms")
    print(f"most   {slowest[0]:.3f} ms  {slowest[1]!r}")
    print(f"first utterance at a step, with its automata: most {max(first):.1f} ms")


if __name__ == "__main__":
    main()
