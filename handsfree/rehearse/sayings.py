"""What may be said at a moment: the answers, what is dangerously near to them, and small talk."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum
from functools import lru_cache
from itertools import pairwise
from random import Random

from handsfree.engine.phase import Phase
from handsfree.engine.phrases_now import phrases_now
from handsfree.rehearse.answers import (
    NothingToSay,
    date_in_words,
    identity_in_words,
    reading_in_words,
    value_for,
)
from handsfree.rehearse.moments import Moment
from handsfree.rehearse.pronunciations import pronunciations
from handsfree.rehearse.sound import apart
from handsfree.task.checks.confusable import words_of
from handsfree.task.checks.phrases import phrases_of
from handsfree.task.course import INSIDE
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    IdentityExpected,
    ReadingExpected,
    fixed_answers,
)
from handsfree.task.model import Task
from handsfree.task.step import Step
from handsfree.words.meanings import Dated, Identified, Understood
from handsfree.words.spoken_numbers import speak_in_groups
from handsfree.words.units import speak_unit, units_of

_NEAREST = 3  # phrases of the same task that are said by mistake, the nearest in sound


class Kind(Enum):
    """Why something is said."""

    ANSWER = "answer"  # it is valid there
    MISTAKE = "mistake"  # near to an answer, and another thing
    TALK = "talk"  # people to each other


@dataclass(frozen=True, slots=True)
class Saying:
    """Words and why they are said."""

    words: str
    kind: Kind


# What people say beside the work. Own choice, no source.
TALK = (
    "give me the torch please",
    "watch your hands",
    "coffee at four",
    "the other one is longer",
    "where did you put the rag",
    "a bit more to the left",
    "did you hear that",
    "who has the key to the store",
    "it is cold in here today",
    "hold this end for me",
    "we are almost there",
    "mind the cable behind you",
    "my glove is stuck",
    "can you see it from there",
    "nobody told me about it",
    "that one looks fine to me",
    "turn the light on for a second",
    "they want the aircraft back by six",
)
_IN_PLACE_OF_AFFIRM = ("negative", "correction", "say again")
_LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"
_LONGEST_TALK = 12  # words of an instruction that somebody reads aloud


def sayings_at(task: Task, moment: Moment, draw: Random) -> dict[Kind, tuple[str, ...]]:
    """By kind, all that may be said at `moment`, values drawn by `draw`. Each list has one."""
    step = moment.step_in(task)
    if moment.phase is Phase.CONFIRMING:
        answers: tuple[str, ...] = ("affirm",)
        mistakes: tuple[str, ...] = _IN_PLACE_OF_AFFIRM
    else:
        answers = tuple(_answers(step, moment, draw))
        mistakes = tuple(_mistakes(task, step, moment, draw))
    mistakes = tuple(each for each in dict.fromkeys(mistakes) if each not in answers)
    return {Kind.ANSWER: answers, Kind.MISTAKE: mistakes, Kind.TALK: tuple(_talk(step))}


def _answers(step: Step, moment: Moment, draw: Random) -> Iterator[str]:
    match step.expect:
        case ReadingExpected() as expected if moment.phase is Phase.ANSWERING:
            value = _inside(expected, moment, draw)
            yield moment.line.words if value is None else reading_in_words(expected, value, draw)
        case ConfirmExpected() | ChoiceExpected():
            yield from fixed_answers(step.expect)
        case _:
            yield moment.line.words


def _inside(expected: ReadingExpected, moment: Moment, draw: Random) -> Decimal | None:
    try:
        return value_for(expected, dict(moment.state.readings), INSIDE, draw)
    except NothingToSay:
        return None


def _mistakes(task: Task, step: Step, moment: Moment, draw: Random) -> Iterator[str]:
    match step.expect:
        case ConfirmExpected() | ChoiceExpected():
            for phrase in fixed_answers(step.expect):
                yield from _opposites(task, step, phrase)
                yield from _with_not(phrase)
            yield from _neighbours(task, step)
            yield "affirm"
        case ReadingExpected() as expected:
            value = _inside(expected, moment, draw)
            if value is not None:
                for near in _near_values(value, expected.resolution):
                    yield reading_in_words(expected, near)
                yield from _teens_and_tens(value, expected)
            yield from _in_other_units(value, expected)
        case IdentityExpected() | DateExpected():
            match phrases_now(task, moment.state).parse(moment.line.words.split()):
                case Understood(Identified(characters=characters)):
                    yield from map(identity_in_words, _near_characters(characters, draw))
                case Understood(Dated(iso=iso)):
                    yield from map(date_in_words, _near_dates(iso))


def _opposites(task: Task, step: Step, phrase: str) -> Iterator[str]:
    """Phrases of steps that bring a state, which this one sets, to another value."""
    mine = _set_by(step, phrase)
    for other in task.steps:
        for said in fixed_answers(other.expect):
            yours = _set_by(other, said)
            if any(name in mine and mine[name] != value for name, value in yours.items()):
                yield said


def _set_by(step: Step, phrase: str) -> Mapping[str, str]:
    leads = step.then.get(phrase)
    return {**step.sets, **(leads.sets if leads else {})}


def _with_not(phrase: str) -> Iterator[str]:
    words = phrase.split()
    yield " ".join((*words[:-1], "not", words[-1]))
    yield f"not {phrase}"


def _neighbours(task: Task, step: Step) -> Iterator[str]:
    own = fixed_answers(step.expect)
    at = task.index_of[step.id]
    for other in (task.steps[at - 1 : at] if at else ()) + task.steps[at + 1 : at + 2]:
        yield from fixed_answers(other.expect)
    yield from _nearest_of(phrases_of(task), own, words_of(task))


@lru_cache(maxsize=256)
def _nearest_of(
    phrases: tuple[str, ...], own: tuple[str, ...], words: frozenset[str]
) -> tuple[str, ...]:
    sounds = pronunciations(words)
    others = [each for each in phrases if each not in own]
    far = {each: min(apart(each, mine, sounds) for mine in own) for each in others}
    return tuple(sorted(others, key=lambda each: (far[each], each))[:_NEAREST])


def _near_values(value: Decimal, resolution: Decimal) -> Iterator[Decimal]:
    """One step of the scale off, one figure off, and two figures exchanged."""
    yield value + resolution
    if value >= resolution:
        yield value - resolution
    figures = list(f"{abs(value):f}")
    places = [at for at, each in enumerate(figures) if each.isdigit()]
    for at in places:
        other = str((int(figures[at]) + 1) % 10)
        changed = Decimal("".join((*figures[:at], other, *figures[at + 1 :])))
        if changed % resolution == 0:
            yield changed
    for one, two in pairwise(places):
        swapped = list(figures)
        swapped[one], swapped[two] = swapped[two], swapped[one]
        exchanged = Decimal("".join(swapped))
        if exchanged not in (value, abs(value)) and exchanged % resolution == 0:
            yield exchanged


def _teens_and_tens(value: Decimal, expected: ReadingExpected) -> Iterator[str]:
    """ "Fifteen" and "fifty" in place of the last two figures."""
    if expected.words_twice or value < 0 or value != value.to_integral():
        return
    whole = int(value)
    tens = min(9, max(3, whole % 100 // 10, whole % 10))
    for last in (10 + tens, tens * 10):
        said = speak_in_groups(str(whole - whole % 100 + last))
        yield f"{said} {speak_unit(expected.unit).lower()}"


def _in_other_units(value: Decimal | None, expected: ReadingExpected) -> Iterator[str]:
    if value is None or expected.words_twice:
        return
    others = [each.symbol for each in units_of(expected.reading) if each.symbol != expected.unit]
    for symbol in others[:2]:
        own = reading_in_words(expected, value).removesuffix(speak_unit(expected.unit).lower())
        yield f"{own}{speak_unit(symbol).lower()}"


def _near_characters(characters: str, draw: Random) -> Iterator[str]:
    for at, each in enumerate(characters):
        alike = "0123456789" if each.isdigit() else _LETTERS
        other = draw.choice([one for one in alike if one != each])
        yield characters[:at] + other + characters[at + 1 :]
    for at in range(len(characters) - 1):
        if characters[at] != characters[at + 1]:
            swapped = characters[at + 1] + characters[at]
            yield characters[:at] + swapped + characters[at + 2 :]


def _near_dates(iso: str) -> Iterator[str]:
    year, month, day = iso.split("-")
    yield f"{year}-{month}-{int(day) % 28 + 1:02d}"
    yield f"{year}-{int(month) % 12 + 1:02d}-{day}"
    yield f"{int(year) + 1}-{month}-{day}"
    yield f"{year}-{month}-{day[::-1] if 0 < int(day[::-1]) < 29 else '11'}"


def _talk(step: Step) -> Iterator[str]:
    yield from TALK
    instruction = re.sub(r"[^a-z' ]", " ", step.instruction.lower()).split()
    if len(instruction) <= _LONGEST_TALK:
        yield " ".join(instruction)
    for phrase in fixed_answers(step.expect):
        yield f"is the {phrase} yet"
        yield f"{phrase} in a minute"
