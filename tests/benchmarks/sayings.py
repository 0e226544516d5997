"""What people say at the steps of the two tasks, and what they say there that means nothing.

No recordings of people who say these words could be had, so synthetic voices say them. They are
written down here once, to be spoken by `models/training/make_sayings.py`.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from functools import cache
from pathlib import Path
from random import Random

from handsfree.engine.advance import before_start
from handsfree.engine.findings import Category
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.waiting import (
    Categorising,
    Identifying,
    Inspecting,
    Ready,
    Uninspected,
    WaitsFor,
)
from handsfree.task.course import DONE, Way
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.task.roles import Role
from handsfree.words.alphabet import speak_characters
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet
from handsfree.words.plain import INSPECTED, REJECTED
from handsfree.words.standard import StandardWord
from handsfree.words.units import speak_unit

_TASKS = Path(__file__).resolve().parents[2] / "tasks"
TASKS = ("accumulator-nitrogen", "door-slide-refit")
NOW = timedelta(0)
# A run that is not begun hears what its step would.
_AT_THE_STEP = Ready()
NOTHING = Heard((), 1.0, (), (), NOW, NOW)
_INSPECTING = Inspecting(Uninspected(Way(DONE, done=True, go=None), None, NOTHING, None), by="1")
_CATEGORISING = Categorising(finding=0, since=NOW)
_IDENTIFYING = Identifying(Role.TECHNICIAN)
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_DIGIT_WORDS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]

# What a tired technician says, and none of it may be acted on where it is no phrase of the step.
EVERYDAY = (
    "yes", "okay", "roger", "done", "check", "next", "what was that", "hold on", "no wait",
    "I think so", "come on", "give me the torch", "don't go ahead", "not able", "no", "all right",
    "wait a moment", "where is the wrench", "watch your hands", "it is not fitted", "almost there",
    "bottle pin not fitted", "hand me the other one", "door not closed", "coffee at four",
    "turn it left", "up a bit", "I am on it", "let it go", "that is tight", "lever not safe",
    "bottle pin is out", "actuator pin", "slide cover", "top bracket", "not affirm", "negative on",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Saying:
    """Words, and the moment at which they are said."""

    words: str
    task: str  # the name of its file
    step: int
    waits_for: WaitsFor
    meant: bool  # whether they are valid there; else they must not be taken for anything

    @property
    def phrases(self) -> PhraseSet:
        """What is listened for at that moment."""
        state = before_start(_task(self.task)).at_step(self.step)
        return phrases_now(_task(self.task), replace(state, waits_for=self.waits_for))


@cache
def _task(name: str) -> Task:
    return read_task((_TASKS / f"{name}.yaml").read_text(encoding="utf-8"), name)


def sayings(voice: str) -> Iterator[Saying]:
    """What one voice says: every fixed phrase, a value of every step, standard and other words.

    Values and moments are drawn by the voice's name, so that two voices say different values.
    """
    draw = Random(f"sayings:{voice}")
    for name in TASKS:
        for at, step in enumerate(_task(name).steps):
            for words in _right(step.expect, draw):
                yield Saying(words, name, at, _AT_THE_STEP, meant=True)
    steps = len(_task(TASKS[1]).steps)
    for standard in StandardWord:
        for words in standard.spellings:
            yield Saying(words, TASKS[1], draw.randrange(steps), _AT_THE_STEP, meant=True)
    for words in ("unable", "unable", "say again", "affirm", "where am i", "hand over"):
        yield Saying(words, TASKS[1], draw.randrange(steps), _AT_THE_STEP, meant=True)
    number = draw.choice(_DIGIT_WORDS[1:])
    yield Saying(
        f"back to step {number}", TASKS[1], draw.randrange(steps), _AT_THE_STEP, meant=True
    )
    for words in (INSPECTED, REJECTED):
        yield Saying(words, TASKS[1], 13, _INSPECTING, meant=True)
    for category in Category:
        yield Saying(category.value, TASKS[1], 13, _CATEGORISING, meant=True)
    staff = "".join(draw.choices("0123456789", k=5))
    yield Saying(f"staff number {speak_characters(staff)}", TASKS[1], 0, _IDENTIFYING, meant=True)
    for words in EVERYDAY:
        yield Saying(words, TASKS[1], draw.randrange(steps), _AT_THE_STEP, meant=False)


def _right(expected: object, draw: Random) -> Iterator[str]:
    match expected:
        case ConfirmExpected(confirm=phrase):
            yield phrase
        case ChoiceExpected(choose=phrases):
            yield from phrases
        case ReadingExpected():
            whole = str(draw.randrange(3, 3200 if expected.unit == "psi" else 80))
            figures = " ".join(_DIGIT_WORDS[int(each)] for each in whole)
            if expected.resolution % 1:
                figures += f" decimal {draw.choice(_DIGIT_WORDS)}"
            name = f"{expected.names[0]} " if draw.random() < 0.5 else ""
            unit = f" {speak_unit(expected.unit).lower()}" if draw.random() < 0.6 else ""
            yield f"{name}{figures}{unit}".strip()
        case IdentityExpected():
            code = expected.accept[0] if expected.accept else _code(draw)
            name = f"{expected.names[0]} " if draw.random() < 0.5 else ""
            yield f"{name}{speak_characters(code)}".lower()
        case DateExpected():
            month = draw.choice(("january", "march", "april", "june", "august", "october"))
            day = " ".join(draw.choices(_DIGIT_WORDS[1:3], k=2))
            name = f"{expected.names[0]} " if draw.random() < 0.5 else ""
            yield f"{name}{day} {month} two zero two {draw.choice(_DIGIT_WORDS[6:])}"


def _code(draw: Random) -> str:
    """As tools and packs are numbered: one or two letters about two to four figures."""
    letters = draw.choices(_LETTERS, k=draw.choice((1, 2)))
    figures = draw.choices("0123456789", k=draw.choice((2, 3, 4)))
    return "".join(draw.choice(([*letters, *figures], [*figures, *letters])))
