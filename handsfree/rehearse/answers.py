"""What is right to say at a step, and what leads to another outcome of it: the values.

They are drawn by seed among those that the step allows, so that two voices say different ones.
"""

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from decimal import Decimal
from random import Random

from handsfree.task.course import INSIDE, OUTCOME_OF
from handsfree.task.expectations import DateExpected, IdentityExpected, ReadingExpected
from handsfree.task.limits.bounds import NoLimits
from handsfree.task.model import Task
from handsfree.task.tools import EXPIRED
from handsfree.words.alphabet import speak_characters
from handsfree.words.dates import LAST_YEAR, speak_date
from handsfree.words.spoken_numbers import speak_number
from handsfree.words.units import speak_unit

TODAY = date(2030, 6, 14)
"""The day of every rehearsal. Equal seeds say equal dates on any day."""

_FARTHEST = 40  # steps of the scale that a value is drawn from the limit, where there is but one
_LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"


class NothingToSay(ValueError):
    """No value leads to that outcome."""


def day_of(task: Task) -> date:
    """The day on which `task` is rehearsed: one on which its tools are in calibration."""
    due = [each.calibration_due for each in task.equipment if each.calibration_due is not None]
    return min([TODAY, *due])


def value_for(
    expected: ReadingExpected, readings: Mapping[str, Decimal], outcome: str, draw: Random
) -> Decimal:
    """A value of that `outcome`: inside, below or above. Raises NothingToSay where there is none.

    `readings` are those taken before, by step.
    """
    try:
        bounds = expected.limits.bounds(readings)
    except NoLimits as error:
        raise NothingToSay(str(error)) from error
    fitting = [
        each
        for each in dict.fromkeys(_candidates(expected, readings, outcome, draw))
        if OUTCOME_OF[bounds.verdict(each)] == outcome
    ]
    if not fitting:
        raise NothingToSay(f"no value of {expected.reading} is {outcome}")
    return draw.choice(fitting)


def _candidates(
    expected: ReadingExpected, readings: Mapping[str, Decimal], outcome: str, draw: Random
) -> Iterator[Decimal]:
    step, bounds = expected.resolution, expected.limits.bounds(readings)
    low, high = bounds.lowest_readable(step), bounds.highest_readable(step)
    marks = {each for each in (low, high) if each is not None}
    if bounds.combined is not None or not marks:
        # What is judged is made of several readings, so this one is near those before.
        marks |= {each - each % step for each in readings.values()}
    for mark in sorted(marks):
        for _ in range(3):
            away = step * draw.randrange(1, _FARTHEST)
            yield from (mark - away, mark + away)
        yield from (mark, mark - step, mark + step)
    if low is not None and high is not None and outcome == INSIDE:
        steps = int((high - low) / step)
        yield from (low + step * draw.randrange(steps + 1) for _ in range(8))


def reading_in_words(expected: ReadingExpected, value: Decimal, draw: Random | None = None) -> str:
    """`value` as it is stated; with `draw` sometimes behind its name, or without its unit."""
    whole = value == value.to_integral()
    said = speak_number(value.quantize(Decimal(1)) if whole else value.normalize())
    unit = speak_unit(expected.unit).lower()
    if expected.words_twice:
        return f"{said} {unit} {said} {unit}"
    if draw is None or expected.other_scales:
        return f"{said} {unit}"
    name = f"{expected.names[0]} " if draw.random() < 0.3 else ""
    return f"{name}{said} {unit}" if draw.random() < 0.7 else f"{name}{said}"


def identity_for(task: Task, expected: IdentityExpected, known: Mapping[str, str]) -> str:
    """The characters that are right; `known` are those read before, by step."""
    if expected.again and expected.tool is not None:
        return known.get(task.number_of[expected.tool], "")
    if expected.accept:
        return expected.accept[0].replace("-", "")
    draw = Random(f"identity:{expected.identity}")
    return "".join((*draw.choices(_LETTERS, k=2), *draw.choices("0123456789", k=3)))


def identity_in_words(characters: str) -> str:
    """Letter by letter."""
    return speak_characters(characters).lower()


def date_for(task: Task, expected: DateExpected, outcome: str) -> str:
    """A date that is over where the `outcome` says so, else one to come; ISO 8601."""
    draw = Random(f"date:{expected.date}:{expected.tool}:{outcome}")
    days = draw.randrange(40, 900)
    day = day_of(task) + timedelta(days=-days if outcome == EXPIRED else days)
    return min(day, date(LAST_YEAR, 12, 31)).isoformat()


def date_in_words(iso: str) -> str:
    """Day, month by name, year."""
    return speak_date(iso).lower()
