"""Fractions as rulers and gauges in inches have them: from halves to sixty-fourths.

"Three and five sixteenths" emits "3", " ", "5", "/16": its figures are "3 5/16", as it was said.
A fraction is proper, and stands alone or after "and". "One five sixteenths" can be 15/16 or
1 5/16, so it is marked `NO_AND`: it must be asked about, and never be heard as either. So must
"seven eight", marked `ALIKE`: listeners that were put to the test wrote it for "seven eighths" and
were sure of it, and 78 is not 7/8.

Thirty-seconds and sixty-fourths are heard only on a scale that has them. "Thirty seconds" is a
time too, so no time can be said there; and since "twenty three thirty seconds" could be 20 and
3/32, such a value is read back in decimals as well.

The words are those of the trade; common practice, no source.
"""

from decimal import Decimal
from fractions import Fraction
from functools import cache

from handsfree.words.automaton import Automaton, choice, one_of, optional, sequence, spoken, word
from handsfree.words.numerals import counted, counted_up_to, minus, whole_number
from handsfree.words.spoken_numbers import speak_figures

NO_AND = "no and"
ALIKE = "sounds as parts do"

_PARTS = {
    2: ("half", "halves"),
    4: ("quarter", "quarters", "fourth", "fourths"),
    8: ("eighth", "eighths"),
    16: ("sixteenth", "sixteenths"),
}
_FINE_PARTS = {
    32: ("thirty second", "thirty seconds"),
    64: ("sixty fourth", "sixty fourths"),
}
_ALL_PARTS = _PARTS | _FINE_PARTS
COARSE = 16
"""The finest parts that can be said on any scale of fractions."""
# Figures that sound nearly as the parts do.
_SOUNDS_AS = {4: "four", 8: "eight", 16: "sixteen"}
# The steps of a scale that can be said in these words.
FRACTION_STEPS = tuple(Decimal(1) / parts for parts in (1, *_ALL_PARTS))
# "nine" and not "niner": a numerator counts parts, it is no figure of a number.
_NUMERATORS = {int(figures): said for said, figures in reversed(counted_up_to(63))}

# Every word of a fraction as `speak_measured` says it.
FRACTION_WORDS = frozenset(
    {*_NUMERATORS.values(), *(name for names in _ALL_PARTS.values() for name in names[:2])}
)


@cache
def fractional(finest: int = COARSE) -> Automaton:
    """A number that ends in a fraction, with sign: "one half", "three and five sixteenths".

    `finest` is how many of the smallest parts make a whole, at most 64.
    """
    fine = (_counted_fine_parts(parts) for parts in _FINE_PARTS if parts <= finest)
    counted_parts = choice(*(_counted_parts(parts) for parts in _PARTS), *fine)
    # "Three and a half" is also said "three and half", and "one half inch" "half inch".
    proper = choice(counted_parts, *(_one(parts) for parts in _PARTS), word("half", "1/2"))
    return sequence(
        optional(minus()),
        choice(
            proper,
            sequence(whole_number(), word("and", " "), proper),
            sequence(whole_number(), choice(*(_counted_parts(parts, NO_AND) for parts in _PARTS))),
            sequence(optional(whole_number()), choice(*map(_figures_like_parts, _SOUNDS_AS))),
        ),
    )


def _counted_parts(parts: int, *marks: str) -> Automaton:
    names = choice(*(word(each, f"/{parts}", *marks) for each in _PARTS[parts]))
    return sequence(one_of(counted(parts - 1)), names)


def _counted_fine_parts(parts: int) -> Automaton:
    numerators = choice(
        *(spoken(said, over) for said, over in counted_up_to(63) if int(over) < parts)
    )
    return sequence(numerators, choice(*(spoken(each, f"/{parts}") for each in _FINE_PARTS[parts])))


def finest_parts(resolution: Decimal) -> int:
    """How many of the smallest parts of a scale in such steps make a whole, for `fractional`."""
    return max(COARSE, int(1 / resolution)) if resolution in FRACTION_STEPS else COARSE


def may_be_two_numbers(figures: str) -> bool:
    """Whether a fraction is said as a whole number and a smaller fraction would be: 23/32."""
    whole, _, fraction = figures.removeprefix("-").rpartition(" ")
    over, _, parts = fraction.partition("/")
    return not whole and bool(parts) and int(over) > 20 and int(over) % 10 != 0


def _figures_like_parts(parts: int) -> Automaton:
    return sequence(one_of(counted(parts - 1)), word(_SOUNDS_AS[parts], ALIKE))


def _one(parts: int) -> Automaton:
    return sequence(word("a"), word(_PARTS[parts][0], f"1/{parts}"))


def value_of(figures: str) -> Decimal:
    """The number that `figures` such as "3 5/16", "-5.50" or "0293" write, exact."""
    if "/" not in figures:
        return Decimal(figures)
    sign = "-" if figures.startswith("-") else ""
    whole, _, fraction = figures.removeprefix("-").rpartition(" ")
    over, parts = map(int, fraction.split("/"))
    # Built from its figures: an addition would round a long number to the context's precision.
    decimals = f"{Decimal(over) / Decimal(parts):f}".removeprefix("0")
    return Decimal(f"{sign}{whole or '0'}{decimals}")


def as_fraction(value: Decimal) -> str:
    """`value` as the figures of a fraction, reduced; in decimals where it is no sixty-fourth."""
    exact = Fraction(value)
    if exact.denominator == 1:
        return str(exact.numerator)
    if exact.denominator not in _ALL_PARTS:
        return f"{value:f}"
    whole, over = divmod(abs(exact.numerator), exact.denominator)
    sign = "-" if exact < 0 else ""
    whole_and = f"{whole} " if whole else ""
    return f"{sign}{whole_and}{over}/{exact.denominator}"


def speak_measured(figures: str) -> str:
    """Say `figures` as they were said: digit by digit, and a fraction as a fraction."""
    if "/" not in figures:
        return speak_figures(figures)
    sign = "minus " if figures.startswith("-") else ""
    whole, _, fraction = figures.removeprefix("-").rpartition(" ")
    over, parts = map(int, fraction.split("/"))
    names = _ALL_PARTS[parts]
    spoken = f"{_NUMERATORS[over]} {names[0] if over == 1 else names[1]}"
    return f"{sign}{speak_figures(whole)} and {spoken}" if whole else f"{sign}{spoken}"
