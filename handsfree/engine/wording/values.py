"""Sentences about values: read back, refused, or held against their limits."""

from datetime import date
from decimal import Context, Decimal
from fractions import Fraction

from handsfree.engine.effects import Say, Speech
from handsfree.engine.entries import CountDiffers
from handsfree.engine.wording.saying import clause, say, sentence
from handsfree.engine.wording.steps import expected_answer
from handsfree.task.expectations import (
    DateExpected,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.limits.bounds import Bounds, Combined, Verdict
from handsfree.task.model import Task
from handsfree.task.validity import DateVerdict
from handsfree.words.alphabet import speak_characters
from handsfree.words.dates import speak_date
from handsfree.words.fractions import as_fraction, may_be_two_numbers, speak_measured
from handsfree.words.meanings import Stated
from handsfree.words.spoken_numbers import speak_in_groups, speak_number
from handsfree.words.units import UNITS, in_figures, speak_unit

_FIGURES = Context(prec=200)  # more than any value that is spoken has


# A value that is nearer to a limit than this many figures show is the limit, to any ear.
_MOST_MORE_PLACES = 20


def reading(
    stated: Stated, expected: ReadingExpected, bounds: Bounds, exact: Fraction
) -> tuple[Say, ...]:
    """The value digit by digit with its verdict, and what may be said now.

    `exact` is the value in the unit of the task. A value read on another scale is said in both.
    """
    verdict = bounds.verdict(exact)
    unit = stated.unit or expected.unit
    value = f"{speak_measured(stated.figures).capitalize()}{_in_groups(stated)}"
    if may_be_two_numbers(stated.figures):
        value += f", that is {speak_number(stated.value)}"
    value += f" {speak_unit(unit)}"
    if unit != expected.unit:
        value += f", that is {_converted(exact, expected, bounds)} {speak_unit(expected.unit)}"
    value += "."
    deciding = bounds.deciding(exact)
    if deciding.combined is not None:
        value += f" {_combined(deciding.combined, exact, expected)}"
    if verdict is Verdict.INSIDE:
        return (
            say(Speech.READ_BACK, f"{value} Inside limits."),
            say(Speech.QUESTION, "Affirm?"),
        )
    spoken_limit = _limit(deciding, verdict, expected)
    return (
        say(Speech.READ_BACK, f"{value} {verdict.value.capitalize()}, {spoken_limit}."),
        say(Speech.QUESTION, "Correct it, measure again, or say unable."),
    )


def _combined(combined: Combined, exact: Fraction, expected: ReadingExpected) -> str:
    """What is judged in place of the reading."""
    judged = in_figures(combined.of(exact)).normalize()
    return f"{combined.called.capitalize()} {_spoken_value(judged, expected)}."


def _limit(bounds: Bounds, verdict: Verdict, expected: ReadingExpected) -> str:
    """The limit that is not kept: of the reading, or of what is judged in its place."""
    below, combined = verdict is Verdict.BELOW, bounds.combined
    if combined is not None:
        exact = combined.lowest if below else combined.highest
        limit = None if exact is None else in_figures(exact).normalize()
    elif below:
        limit = bounds.lowest_readable(expected.resolution)
    else:
        limit = bounds.highest_readable(expected.resolution)
    return "" if limit is None else _spoken_value(limit, expected)


def _in_groups(stated: Stated) -> str:
    """The number once more as people say it, where one that sounds like it could have been meant.

    "Five zero, fifty" and "one five, fifteen" are told apart twice.
    """
    return f", {speak_in_groups(stated.figures)}," if stated.alike else ""


def each_figure(expected: ReadingExpected) -> tuple[Say, ...]:
    """Another number sounds like the one heard. Neither is said: a second person may listen."""
    units = speak_unit(expected.unit)
    text = f"That can be two numbers. Say {expected.reading} figure by figure, in {units}."
    return (say(Speech.QUESTION, text),)


def _converted(exact: Fraction, expected: ReadingExpected, bounds: Bounds) -> str:
    """`exact` for the ear, to a tenth of the scale.

    What is said must not contradict the verdict: a value just outside a limit is not said as the
    limit. Then more figures are said.
    """
    least = max(0, 1 - expected.resolution.adjusted())
    for places in range(least, least + _MOST_MORE_PLACES):
        spoken = _FIGURES.divide(Decimal(round(exact * 10**places)), Decimal(10) ** places)
        if Fraction(spoken) == exact:
            return _spoken_value(spoken.normalize(_FIGURES), expected)
        if bounds.verdict(spoken) is bounds.verdict(exact):
            break
    return f"about {_spoken_value(spoken.normalize(_FIGURES), expected)}"


def _spoken_value(value: Decimal, expected: ReadingExpected) -> str:
    return speak_measured(as_fraction(value)) if expected.fractions else speak_number(value)


def wrong_kind(said: str, expected: ReadingExpected) -> tuple[Say, ...]:
    """The value came in a unit of something else."""
    what = f"I heard {speak_unit(said)}, which is {UNITS[said].quantity}."
    return (say(Speech.QUESTION, f"{what} {expected_answer(expected)}"),)


def no_limits(value_figures: str, unit: str, why: str) -> tuple[Say, ...]:
    """The value cannot be judged, so it is not taken; `why` follows from earlier readings.

    `value_figures` are empty where the value must not be said aloud.
    """
    value = f"{speak_measured(value_figures).capitalize()} {speak_unit(unit)}. "
    return (
        say(
            Speech.READ_BACK,
            f"{value if value_figures else ''}Not accepted. There are no limits for it: {why}.",
        ),
        say(Speech.QUESTION, "Say unable, and tell your supervisor."),
    )


def wrong_unit(said: str, expected: ReadingExpected) -> tuple[Say, ...]:
    """The value came in another unit."""
    return (say(Speech.QUESTION, f"I heard {speak_unit(said)}. {expected_answer(expected)}"),)


def said_once(expected: ReadingExpected) -> tuple[Say, ...]:
    """The value is to be said twice, and was said once."""
    return (say(Speech.QUESTION, f"I heard it once. {expected_answer(expected)}"),)


def too_fine(expected: ReadingExpected, resolution: Decimal, unit: str) -> tuple[Say, ...]:
    """The value has more figures than the gauge can show."""
    finest = f"{_spoken_value(resolution, expected)} {speak_unit(unit)}"
    return (
        say(
            Speech.QUESTION, f"The scale reads in steps of {finest}. Read {expected.reading} again."
        ),
    )


def identity(characters: str, expected: IdentityExpected, refusal: str) -> tuple[Say, ...]:
    """The identity character by character, and why it is not accepted; empty: it is.

    The right one is not spoken: it would be an invitation to read it off the voice.
    """
    read_back = f"{expected.identity.capitalize()} {speak_characters(characters)}."
    if not refusal:
        return (say(Speech.READ_BACK, read_back), say(Speech.QUESTION, "Affirm?"))
    return (
        say(Speech.READ_BACK, f"{read_back} {sentence(refusal)}"),
        say(Speech.QUESTION, "Read it again, or say unable."),
    )


def date_read(
    iso: str, expected: DateExpected, verdict: DateVerdict, today: date | None
) -> tuple[Say, ...]:
    """The date with its verdict. One that is on file is not spoken: it could be read off."""
    read_back = f"{expected.date.capitalize()} {speak_date(iso)}."
    match verdict:
        case DateVerdict.IN_DATE:
            return (
                say(Speech.READ_BACK, f"{read_back} In date."),
                say(Speech.QUESTION, "Affirm?"),
            )
        case DateVerdict.NO_SUCH_DATE:
            told = f"There is no {speak_date(iso)}."
        case DateVerdict.OUT_OF_DATE if today is not None:
            told = f"{read_back} Out of date. Today is {speak_date(today.isoformat())}."
        case _:
            told = f"{read_back} Not accepted: {verdict.value}."
    return (say(Speech.READ_BACK, told), say(Speech.QUESTION, "Read it again, or say unable."))


def count_differs(task: Task, differs: CountDiffers) -> Say:
    """What is missing of the things that come back, and where each was seen last."""
    item = task.counted[differs.item]
    short = f"{differs.missing} missing" if differs.missing > 0 else f"{-differs.missing} too many"
    told = [f"{item.called.capitalize()}: {differs.out} out, {differs.counted_in} in, {short}."]
    for name, step_id in differs.last_seen:
        at = task.index_of[step_id]
        called = "" if name == differs.item else f" {name.replace('-', ' ')},"
        told.append(f"Last seen:{called} step {at + 1}, {clause(task.steps[at].instruction)}")
    return say(Speech.READ_BACK, " ".join(told))
