"""What an answer means for the step that asked for it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from handsfree.engine import wording
from handsfree.engine.effects import Say
from handsfree.engine.entries import (
    ChoiceMade,
    DateRead,
    Entry,
    IdentityRead,
    PhraseReadBack,
    ReadingRefused,
    ReadingTaken,
    Replaced,
)
from handsfree.engine.on_file import OnFile
from handsfree.engine.phase import Phase
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.limits.forms import Bounds, NoLimits, Verdict
from handsfree.task.step import Step
from handsfree.task.validity import DateVerdict, judge_date
from handsfree.words.fractions import value_of
from handsfree.words.meanings import Confirmed, Dated, Identified, Meaning, Stated
from handsfree.words.units import UNITS, convert, in_figures


@dataclass(frozen=True, slots=True)
class Outcome:
    """What an answer leads to."""

    entries: tuple[Entry, ...] = ()
    says: tuple[Say, ...] = ()
    done: bool = False  # the step is confirmed
    pending: Decimal | str | None = None  # to be affirmed first
    outside: bool = False  # a value was refused, and a better one is waited for


def needs_affirm(expected: Expectation | None) -> bool:
    """Whether the answer is a value, which is read back and waits for "affirm"."""
    return isinstance(expected, ReadingExpected | IdentityExpected | DateExpected)


def judge(
    step: Step,
    readings: Mapping[str, Decimal],
    meaning: Meaning,
    phase: Phase,
    on_file: OnFile,
) -> Outcome | None:
    """Judge `meaning` as an answer to `step`; None where it is no answer to it.

    While a value waits for "affirm", another value counts only after the word "correction".
    """
    another_value = isinstance(meaning, Stated | Identified | Dated) and not meaning.corrects
    if phase is Phase.CONFIRMING and another_value:
        return None
    match step.expect, meaning:
        case ConfirmExpected(confirm=phrase), Confirmed(phrase=said) if said == phrase:
            return Outcome(done=True)
        case ChoiceExpected() as expected, Confirmed(phrase=said) if said in expected.choose:
            return _choice(step.id, expected, said)
        case ReadingExpected() as expected, Stated():
            before = tuple(Replaced(step.id, each.figures, each.unit) for each in meaning.replaces)
            return _after(before, _reading(step, expected, readings, meaning, phase))
        case IdentityExpected() as expected, Identified():
            before = tuple(Replaced(step.id, each) for each in meaning.replaces)
            return _after(before, _identity(step.id, expected, meaning, on_file))
        case DateExpected() as expected, Dated():
            before = tuple(Replaced(step.id, each) for each in meaning.replaces)
            return _after(before, _date(step.id, expected, meaning, on_file))
    return None


def _after(replaced: tuple[Replaced, ...], outcome: Outcome) -> Outcome:
    return replace(outcome, entries=(*replaced, *outcome.entries))


def read_back_first(step: Step, outcome: Outcome, phrase: str) -> Outcome:
    """`outcome`, which would confirm `step`, made to wait for "affirm" of `phrase`."""
    return Outcome(
        entries=(*outcome.entries, PhraseReadBack(step.id, phrase)),
        says=wording.steps.phrase_read_back(phrase),
        pending=phrase,
    )


def _choice(step: str, expected: ChoiceExpected, said: str) -> Outcome:
    right = expected.required in (None, said)
    return Outcome(
        entries=(ChoiceMade(step, said, right),),
        says=() if right else wording.steps.wrong_choice(said, expected),
        done=right,
    )


def _reading(
    at: Step,
    expected: ReadingExpected,
    readings: Mapping[str, Decimal],
    stated: Stated,
    phase: Phase,
) -> Outcome:
    step, unit = at.id, stated.unit or expected.unit
    if UNITS[unit].quantity != expected.reading:
        says = wording.values.wrong_kind(unit, expected)
        return _refused(step, stated, "another quantity", phase, says)
    resolution = expected.resolution_in(unit)
    if resolution is None:
        says = wording.values.wrong_unit(unit, expected)
        return _refused(step, stated, "another unit", phase, says)
    if Fraction(stated.value) % Fraction(resolution):
        says = wording.values.too_fine(expected, resolution, unit)
        return _refused(step, stated, "finer than the scale", phase, says)
    if _is_alike(stated, resolution):
        says = wording.values.each_figure(expected)
        return _refused(step, stated, "sounds like another number", phase, says)
    if expected.words_twice and not stated.twice:
        return _refused(step, stated, "said once", phase, wording.values.said_once(expected))
    # The limits are held against the exact value. What is kept of it has 28 figures, for a third
    # of a degree has no last one.
    exact = convert(stated.value, unit, expected.unit)
    value = stated.value if unit == expected.unit else in_figures(exact)
    try:
        bounds = expected.limits.bounds(readings)
    except NoLimits as none:
        # Without limits there is no verdict, and a value without one is not taken.
        # A second person who is still to read it must not hear it.
        figures = "" if at.read_back else stated.figures
        says = wording.values.no_limits(figures, unit, str(none))
        return _refused(step, stated, f"no limits: {none}", phase, says)
    verdict, deciding = bounds.verdict(exact), bounds.deciding(exact)
    taken = ReadingTaken(
        step=step,
        value=value,
        unit=expected.unit,
        figures=stated.figures,
        verdict=verdict,
        lowest=None if deciding.lowest is None else str(deciding.lowest),
        highest=None if deciding.highest is None else str(deciding.highest),
        corrects=stated.corrects,
        scale=None if unit == expected.unit else unit,
        judged=_judged(deciding, exact),
    )
    inside = verdict is Verdict.INSIDE
    return Outcome(
        entries=(taken,),
        says=wording.values.reading(stated, expected, bounds, exact),
        pending=value if inside else None,
        outside=not inside,
    )


def _judged(bounds: Bounds, exact: Fraction) -> str | None:
    """What is judged in place of the reading, with its value, such as "difference 120"."""
    if bounds.combined is None:
        return None
    return f"{bounds.combined.called} {in_figures(bounds.combined.of(exact)).normalize():f}"


def _is_alike(stated: Stated, resolution: Decimal) -> bool:
    """Whether the words may have been another number that this scale shows as well.

    It need not be inside the limits: "fifty" taken for "fifteen" is the worse the further out it
    is. Only figures said one by one are believed then.
    """
    on_scale = Fraction(resolution)
    return any(Fraction(value_of(each)) % on_scale == 0 for each in stated.alike)


def _refused(
    step: str, stated: Stated, reason: str, phase: Phase, says: tuple[Say, ...]
) -> Outcome:
    # A value that could not be taken withdraws the one before it: the person meant to replace it.
    return Outcome(
        entries=(ReadingRefused(step, stated.figures, stated.unit, reason),),
        says=says,
        outside=phase is Phase.OUTSIDE,
    )


def _identity(
    step: str, expected: IdentityExpected, identified: Identified, on_file: OnFile
) -> Outcome:
    characters = identified.characters
    refusal = on_file.refusal(expected, characters)
    accepted = refusal is None
    return Outcome(
        entries=(IdentityRead(step, characters, accepted, refusal.value if refusal else ""),),
        says=wording.values.identity(characters, expected, refusal.value if refusal else ""),
        pending=characters if accepted else None,
        outside=not accepted,
    )


def _date(step: str, expected: DateExpected, dated: Dated, on_file: OnFile) -> Outcome:
    verdict = judge_date(dated.day, on_file.today, on_file.dates)
    in_date = verdict is DateVerdict.IN_DATE
    return Outcome(
        entries=(DateRead(step, dated.iso, verdict, dated.corrects),),
        says=wording.values.date_read(dated.iso, expected, verdict, on_file.today),
        pending=dated.iso if in_date else None,
        outside=not in_date,
    )
