"""All that people can say at the two tasks, each at a moment at which it is said.

Beside it what they say there that must move nothing. Both are measured by `by_word.py`.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from random import Random

from handsfree.engine.advance import before_start
from handsfree.engine.findings import Category
from handsfree.engine.open_question import stakes
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.state import State
from handsfree.engine.trust import Trust, trust
from handsfree.engine.waiting import (
    Answering,
    Categorising,
    CheckingState,
    Identifying,
    Inspecting,
    StandingBy,
    Uninspected,
    WaitsFor,
)
from handsfree.rehearse import confusable_phrases
from handsfree.task.course import DONE, Way
from handsfree.task.expectations import fixed_answers
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.task.roles import Role
from handsfree.words.alphabet import LETTER_WORDS
from handsfree.words.everyday import CASUAL
from handsfree.words.heard import Heard
from handsfree.words.meanings import (
    Asked,
    Casual,
    Meaning,
    Negated,
    Ordered,
    Spoke,
    TookBack,
    Understood,
)
from handsfree.words.phrases import PhraseSet
from handsfree.words.plain import INSPECTED, REJECTED, PlainWord
from handsfree.words.standard import StandardWord
from tests.benchmarks.sayings import EVERYDAY, NOTHING, NOW, TASKS
from tests.shipped_tasks import FOLDER

UNDERSTOOD, ASKED_AGAIN, HARMLESS, ANOTHER = (
    "understood",
    "asked again",
    "another, harmless",
    "another",
)
_EVERYDAY_CSV = Path(__file__).with_name("everyday.csv")
_NOTS = ("not", "no", "don't", "isn't")
_NEVER_OF_CSV = ("casual", "negated", "number")
_INSPECTING = Inspecting(Uninspected(Way(DONE, done=True, go=None), None, NOTHING, None), by="1")
# What is said, and is no answer: to hear something again, to wait, to be told or asked.
_REPEATS_OR_WAITS = frozenset(
    {
        *(StandardWord.SAY_AGAIN, StandardWord.WORDS_TWICE, StandardWord.READ_BACK),
        *(StandardWord.HOW_DO_YOU_READ, StandardWord.STAND_BY),
    }
)
_MOVES_THE_WORK = frozenset({PlainWord.BACK_TO_STEP, PlainWord.CLOSE_FINDING, PlainWord.HAND_OVER})


@dataclass(frozen=True, slots=True)
class Entry:
    """Words, what kind they are of, and the moment at which they are said."""

    kind: str
    words: str
    task: str
    step: int
    waits_for: WaitsFor
    never: bool = False  # it must move nothing; else it is to be understood

    @property
    def state(self) -> State:
        """The run at that moment, as far as it bears on what is listened for."""
        before, confusable = _task(self.task)
        state = before_start(before).at_step(self.step)
        given = replace(state.given, confusable=confusable)
        return replace(state, waits_for=self.waits_for, given=given)

    @property
    def at(self) -> str:
        """The moment, for a table."""
        return f"{self.task}, step {self.step + 1}, {self.waits_for.phase.value}"

    @property
    def phrases(self) -> PhraseSet:
        """What is listened for at that moment."""
        return phrases_now(_task(self.task)[0], self.state)

    def result(self, heard: Heard) -> str:
        """What a hearing by itself comes to."""
        parsed, meant = self.phrases.parse(heard.words), self.phrases.parse(self.words.split())
        at_stake = stakes(_task(self.task)[0], self.state, heard.words)
        if trust(heard.score, parsed, at_stake) is Trust.ASK_AGAIN:
            return ASKED_AGAIN
        if isinstance(parsed, Understood) and parsed == meant:
            return UNDERSTOOD
        harmless = not isinstance(parsed, Understood) or moves_nothing(parsed.meaning)
        return HARMLESS if harmless else ANOTHER


def moves_nothing(meaning: Meaning) -> bool:
    """Whether this neither answers nor affirms nor leads anywhere but to a wait or to more words.

    What takes something back is asked for again, so it moves nothing on either.
    """
    match meaning:
        case Casual() | Negated() | Asked() | TookBack():
            return True
        case Spoke(word=word):
            return word in _REPEATS_OR_WAITS
        case Ordered(word=word):
            return word not in _MOVES_THE_WORK
    return False


@cache
def _task(name: str) -> tuple[Task, tuple[str, ...]]:
    task = read_task((FOLDER / f"{name}.yaml").read_text(encoding="utf-8"), name)
    return task, tuple(confusable_phrases(task))


def vocabulary() -> tuple[Entry, ...]:
    """Everything that is to be understood, each once."""
    return tuple(_vocabulary())


def _vocabulary() -> Iterator[Entry]:
    long = TASKS[1]
    steps = {each.id: at for at, each in enumerate(_task(long)[0].steps)}
    reading = steps["bottle-temperature"]
    for word in (*(each.value for each in StandardWord), "affirmative"):
        yield Entry("standard word", word, long, reading, Answering())
    for order in PlainWord:
        number = " four" if order.takes_number else ""
        if order is not PlainWord.CLOSE_FINDING:  # it is listened for only where one is open
            yield Entry("plain word", order.value + number, long, reading, Answering())
    with _EVERYDAY_CSV.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["kind"] not in ("standard word", "plain word", *_NEVER_OF_CSV):
                yield Entry(row["kind"], row["words"], long, reading, Answering())
    for name in TASKS:
        for at, step in enumerate(_task(name)[0].steps):
            for phrase in fixed_answers(step.expect):
                yield Entry("phrase of a task", phrase, name, at, Answering())
    for words in (INSPECTED, REJECTED):
        yield Entry("inspector", words, long, steps["bottle-pin-check"], _INSPECTING)
    for category in Category:
        yield Entry("category", category.said, long, reading, Categorising(0, NOW))
    identifying = Identifying(Role.TECHNICIAN)
    yield Entry("staff number", "staff number oscar alfa four one seven", long, 0, identifying)
    pressure = steps["bottle-pressure"]
    yield Entry("second person", "second two niner five zero p s i", long, pressure, Answering())
    for at, spellings in enumerate(LETTER_WORDS.values()):
        figures = ("four one", "seven three", "two eight", "six five")[at % 4]
        yield Entry(
            "letter", f"{spellings[0]} {figures}", long, steps["wrench-number"], Answering()
        )


def must_move_nothing(voice: str) -> Iterator[Entry]:
    """What people say without looking or in passing, and phrases with a "not".

    Each is said at three moments, drawn by the voice's name: at a step of either task, where
    "affirm", "inspected" or "go ahead" is waited for, or a staff number. A phrase with a "not" is
    also said at its own step.
    """
    draw = Random(f"never:{voice}")
    with _EVERYDAY_CSV.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["kind"] in ("casual", "negated")]
    said = {each.lower(): "talk" for each in EVERYDAY}
    said |= dict.fromkeys(CASUAL, "casual") | {row["words"]: row["kind"] for row in rows}
    for words, kind in said.items():
        yield Entry(kind, words, *_anywhere(draw, Answering()), never=True)
        yield from _elsewhere(draw, kind, words)
    for entry in _with_a_not(draw):
        yield entry
        yield from _elsewhere(draw, entry.kind, entry.words)


def _elsewhere(draw: Random, kind: str, words: str) -> Iterator[Entry]:
    others = (_INSPECTING, Identifying(Role.TECHNICIAN), StandingBy(NOW), Answering())
    yield Entry(kind, words, *_anywhere(draw, None), never=True)
    yield Entry(kind, words, *_anywhere(draw, draw.choice(others)), never=True)


def _anywhere(draw: Random, waits_for: WaitsFor | None) -> tuple[str, int, WaitsFor]:
    """A step of either task; where nothing is named to wait for, a state of it is asked about."""
    name = draw.choice(TASKS)
    task = _task(name)[0]
    asked = CheckingState(next(iter(task.states)))
    return name, draw.randrange(len(task.steps)), waits_for or asked


def _with_a_not(draw: Random) -> Iterator[Entry]:
    def negated(words: str, task: str, step: int, waits_for: WaitsFor) -> Entry:
        parts = words.split()
        at = draw.randrange(len(parts))
        parts.insert(at, draw.choice(_NOTS))
        return Entry("negated", " ".join(parts), task, step, waits_for, never=True)

    for name in TASKS:
        for at, step in enumerate(_task(name)[0].steps):
            for phrase in fixed_answers(step.expect):
                yield negated(phrase, name, at, Answering())
    long, state = TASKS[1], next(iter(_task(TASKS[1])[0].states))
    yield negated(StandardWord.AFFIRM.value, long, 0, CheckingState(state))
    yield negated(StandardWord.GO_AHEAD.value, long, 0, StandingBy(NOW))
    yield negated(StandardWord.UNABLE.value, long, 0, Answering())
    for words in (INSPECTED, REJECTED):
        yield negated(words, long, 0, _INSPECTING)
