"""Phrases with a value: readings, identities and dates."""

from dataclasses import dataclass, replace
from functools import lru_cache

from handsfree.words.alphabet import characters
from handsfree.words.automaton import Automaton, choice, optional, sequence, spoken, word
from handsfree.words.dates import UnclearDate, calendar_date, iso_of
from handsfree.words.digit_pairs import PAIRS
from handsfree.words.everyday import (
    exactly,
    hedge,
    hedge_behind,
    is_or_reads,
    lead_in,
)
from handsfree.words.fractions import ALIKE, COARSE, NO_AND, fractional
from handsfree.words.meanings import (
    Ambiguous,
    BySecond,
    Dated,
    Identified,
    Meaning,
    Stated,
    TookBack,
)
from handsfree.words.numerals import alike_in_sound, figures_of, number
from handsfree.words.phrases.corrected import (
    CORRECTION,
    CORRECTION_REASON,
    TAKEN_BACK,
    apart,
    correctable,
    corrected,
)
from handsfree.words.plain import SECOND
from handsfree.words.units import UNITS, any_unit

_UNIT = "unit "
_AGAIN = "again"
_HEDGED = "hedged"
_NEGATIVE = "negative"
# Of most strange voices "my mistake", which takes a value back, is "minus eight" to both listeners.
_AS_MY_MISTAKE = ("-", "8")
_EITHER_SCALE = "degrees"  # in place of a unit: it does not say which of the scales
_PAIRS_REASON = "digit pairs can be two numbers, say each digit"
_NO_AND_REASON = "a fraction after a number needs the word and"
_ALIKE_REASON = "parts and figures sound alike, say tens as in seventy eight, or decimals"
_SCALES_REASON = "there are two scales, say the unit"
_DIFFER_REASON = "the two values are not the same"
_HEDGED_REASON = "say the figure that the scale shows"
_MISTAKE_REASON = "minus eight sounds like my mistake, say the unit too"
_NEGATIVE_REASON = "say minus for below zero, or correction and the value"


@dataclass(frozen=True)
class Reading:
    """ "Pressure two niner five zero p s i": the name and the unit may be left out."""

    names: tuple[str, ...]  # what the quantity is called
    unit: str  # the unit asked for; any other can be said, and is then asked about
    digit_pairs: bool = False  # "fifty two nineteen" is accepted as 5219
    fractions: bool = False  # "three and five sixteenths" can be said
    repeats: bool = False  # "double four" can be said
    other_scales: tuple[str, ...] = ()  # units of further scales; then the unit must be said
    finest_parts: int = COARSE  # of fractions: 32 on a scale of thirty-seconds

    @property
    def automaton(self) -> Automaton:
        return _reading(self)

    @property
    def units(self) -> Automaton:
        """Every unit by itself, as it can be said after the number."""
        return _unit(self)

    def meaning(self, marks: tuple[str, ...], /) -> Meaning | Ambiguous:
        if TAKEN_BACK in marks:
            return TookBack()
        values = apart(marks, CORRECTION)
        if not values[-1]:
            return Ambiguous(CORRECTION_REASON)
        last, *before = (self.stated(value) for value in reversed(values) if value)
        if isinstance(last, Ambiguous):
            return last
        replaces = tuple(each for each in reversed(before) if isinstance(each, Stated))
        return replace(last, corrects=CORRECTION in marks, replaces=replaces)

    def stated(self, marks: tuple[str, ...]) -> Stated | Ambiguous:
        """One value of the utterance, from its marks."""
        if _HEDGED in marks:
            return Ambiguous(_HEDGED_REASON)
        if _NEGATIVE in marks:
            return Ambiguous(_NEGATIVE_REASON)
        if PAIRS in marks and not self.digit_pairs:
            return Ambiguous(_PAIRS_REASON)
        if ALIKE in marks:
            return Ambiguous(_ALIKE_REASON)
        if NO_AND in marks:
            return Ambiguous(_NO_AND_REASON)
        unit = next((mark.removeprefix(_UNIT) for mark in marks if mark.startswith(_UNIT)), None)
        if self.other_scales and unit in (None, _EITHER_SCALE):
            return Ambiguous(_SCALES_REASON)
        said = tuple(mark for mark in marks if not mark.startswith(_UNIT))
        if unit is None and said == _AS_MY_MISTAKE:
            return Ambiguous(_MISTAKE_REASON)
        return Stated(figures_of(said), unit, alike=alike_in_sound(said))


@dataclass(frozen=True)
class ReadingTwice:
    """A reading with its value said twice, as "words twice" asks (ICAO Doc 9432, 2.6).

    What parts the two is the unit after the first, the name before the second, or "I say again":
    without any of them "two two" said once would be two said twice.
    """

    once: Reading

    @property
    def automaton(self) -> Automaton:
        return _reading_twice(self.once)

    def meaning(self, marks: tuple[str, ...], /) -> Meaning | Ambiguous:
        corrects = marks[0] == CORRECTION
        one, other = map(self.once.stated, apart(marks[1:] if corrects else marks, _AGAIN))
        if isinstance(one, Ambiguous):
            return one
        if isinstance(other, Ambiguous):
            return other
        if one.value != other.value or len({one.unit, other.unit} - {None}) > 1:
            return Ambiguous(_DIFFER_REASON)
        return replace(other, unit=other.unit or one.unit, corrects=corrects, twice=True)


@dataclass(frozen=True)
class PlainNumber:
    """A number by itself, in any form, digit pairs too: for recordings of plain numbers."""

    @property
    def automaton(self) -> Automaton:
        return number()

    def meaning(self, marks: tuple[str, ...], /) -> Meaning:
        return Stated(figures_of(marks))


@dataclass(frozen=True)
class Identity:
    """ "Serial number kilo zero four seven bravo": the name may be left out."""

    names: tuple[str, ...]
    repeats: bool = False  # "double four" can be said

    @property
    def automaton(self) -> Automaton:
        return _identity(self.names, self.repeats)

    def meaning(self, marks: tuple[str, ...], /) -> Meaning | Ambiguous:
        if TAKEN_BACK in marks:
            return TookBack()
        said = ["".join(each) for each in apart(marks, CORRECTION)]
        if not said[-1]:
            return Ambiguous(CORRECTION_REASON)
        *before, last = filter(None, said)
        return Identified(last, corrects=CORRECTION in marks, replaces=tuple(before))


@dataclass(frozen=True)
class Seconded:
    """A value with "second" said first: the statement of the second person."""

    statement: Reading | ReadingTwice | Identity

    @property
    def automaton(self) -> Automaton:
        return _seconded(self.statement)

    def meaning(self, marks: tuple[str, ...], /) -> Meaning | Ambiguous:
        stated = self.statement.meaning(marks)
        return BySecond(stated) if isinstance(stated, Stated | Identified) else stated


@dataclass(frozen=True)
class Date:
    """ "Calibration due one five march two zero two seven": the name may be left out."""

    names: tuple[str, ...]

    @property
    def automaton(self) -> Automaton:
        return _date(self.names)

    def meaning(self, marks: tuple[str, ...], /) -> Meaning | Ambiguous:
        if TAKEN_BACK in marks:
            return TookBack()
        *before, last = apart(marks, CORRECTION)
        if not last:
            return Ambiguous(CORRECTION_REASON)
        try:
            replaces = tuple(iso_of(each) for each in before if each)
            return Dated(iso_of(last), corrects=CORRECTION in marks, replaces=replaces)
        except UnclearDate as unclear:
            return Ambiguous(str(unclear))


@lru_cache(maxsize=64)
def _seconded(statement: Reading | ReadingTwice | Identity) -> Automaton:
    return sequence(word(SECOND), statement.automaton)


@lru_cache(maxsize=64)
def _reading(asked: Reading) -> Automaton:
    before = optional(choice(hedge(_HEDGED), exactly(), word("negative", _NEGATIVE)))
    behind = optional(choice(hedge_behind(_HEDGED), exactly()))
    said = sequence(lead_in(), _named(asked.names), is_or_reads(), before, _value(asked), behind)
    return correctable(said)


@lru_cache(maxsize=64)
def _reading_twice(asked: Reading) -> Automaton:
    i_say_again = sequence(spoken("i say again", _AGAIN), _named(asked.names))
    name = choice(*(spoken(each, _AGAIN) for each in asked.names))
    once_more = sequence(optional(spoken("i say again")), _named(asked.names))
    return sequence(
        corrected(),
        _named(asked.names),
        choice(
            sequence(_value_with_unit(asked, _AGAIN), once_more),
            sequence(_value_without_unit(asked), choice(i_say_again, name)),
        ),
        _value(asked),
    )


def _value(asked: Reading) -> Automaton:
    """A number with its unit or without."""
    plain = sequence(number(asked.repeats), optional(_unit(asked)))
    if not asked.fractions:
        return plain
    return choice(
        plain, sequence(fractional(asked.finest_parts), optional(_unit_of_fraction(asked)))
    )


def _value_without_unit(asked: Reading) -> Automaton:
    plain = number(asked.repeats)
    return choice(plain, fractional(asked.finest_parts)) if asked.fractions else plain


def _value_with_unit(asked: Reading, *then: str) -> Automaton:
    plain = sequence(number(asked.repeats), _unit(asked, *then))
    if not asked.fractions:
        return plain
    return choice(plain, sequence(fractional(asked.finest_parts), _unit_of_fraction(asked, *then)))


def _unit(asked: Reading, *then: str) -> Automaton:
    degrees = UNITS[asked.unit].quantity.startswith("temperature")
    plain_degrees = _EITHER_SCALE if degrees and asked.other_scales else None
    # "Thirty seconds" is a fraction on such a scale.
    without = ("time",) if asked.fractions and asked.finest_parts > COARSE else ()
    return any_unit(asked.unit, _UNIT, plain_degrees, then, without)


def _unit_of_fraction(asked: Reading, *then: str) -> Automaton:
    """ "Half inch", "half an inch", "five sixteenths of an inch"."""
    unit = _unit(asked, *then)
    return choice(unit, sequence(choice(word("an"), spoken("of an")), unit))


@lru_cache(maxsize=64)
def _identity(names: tuple[str, ...], repeats: bool) -> Automaton:
    said = sequence(lead_in(), _named(names), is_or_reads(), characters(repeats))
    return correctable(said)


@lru_cache(maxsize=64)
def _date(names: tuple[str, ...]) -> Automaton:
    return correctable(sequence(lead_in(), _named(names), is_or_reads(), calendar_date()))


def _named(names: tuple[str, ...]) -> Automaton:
    return optional(choice(*(spoken(name) for name in names)))
