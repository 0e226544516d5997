"""Spoken dates: day, month and year, the month by its name.

"One five march two zero two seven" is how the date on a label is read out: day before month before
year, as on the label, with the figures one by one (common practice, no source). A month by name
cannot be taken for a day. Figures alone can: "zero five zero three" is 5 March in most places and
3 May in some. So eight figures are taken only where they can be one date, and asked about else.

ISO 8601-1, 5.2.2.1, basic format (from memory) writes a date as year, month and day. Said as eight
figures it is taken too: from 2000 to 2099 it is no date in the other orders.
"""

import re
from datetime import date
from functools import cache

from handsfree.words.automaton import Automaton, choice, one_of, optional, sequence, word
from handsfree.words.numerals import counted, digit, ten_to_ninety_nine
from handsfree.words.spoken_numbers import speak_figures

MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
FIRST_YEAR, LAST_YEAR = 2000, 2099
"""Of dates that can be said."""

_SAID = re.compile(r"(\d{1,2})-(\d{2})-(\d{2}|\d{4})")
_SHORT_REASON = "the year needs four figures"
_FAR_REASON = "the year is not from two zero zero zero to two zero niner niner"
_FIGURES_REASON = "figures alone can be two dates, say the month by name"
_NO_DATE_REASON = "those figures are no date, say the day, the month by name, and the year"


class UnclearDate(ValueError):
    """Words that can be more than one date, or none; the message is a clause that can be spoken."""


def speak_date(iso: str) -> str:
    """Say "2027-03-15": "one five march two zero two seven". The day need not exist."""
    year, month, day = iso.split("-")
    return f"{speak_figures(day)} {MONTHS[int(month) - 1]} {speak_figures(year)}"


def written_out(day: date) -> str:
    """A date with its month by name: "4 May 2031".

    Not by the locale of the machine: equal inputs give equal words everywhere.
    """
    return f"{day.day} {MONTHS[day.month - 1].capitalize()} {day.year}"


def as_date(iso: str) -> date | None:
    """The day; None where the calendar has no such day."""
    try:
        return date.fromisoformat(iso)
    except ValueError:
        return None


def iso_of(marks: tuple[str, ...]) -> str:
    """The date along a path through `calendar_date`, such as "2027-03-15"; raises UnclearDate.

    With the month by name the day may be one that the calendar does not have.
    """
    said = "".join(marks)
    named = _SAID.fullmatch(said)
    if named is None:
        return _of_figures(said)
    day, month, year = named.groups()
    if len(year) != len("2027"):
        raise UnclearDate(_SHORT_REASON)
    # A figure that was heard wrong must not make a date that is centuries away, and so in date.
    if not FIRST_YEAR <= int(year) <= LAST_YEAR:
        raise UnclearDate(_FAR_REASON)
    return f"{year}-{month}-{day.zfill(2)}"


def _of_figures(said: str) -> str:
    day_first = f"{said[4:]}-{said[2:4]}-{said[:2]}"
    year_first = f"{said[:4]}-{said[4:6]}-{said[6:]}"
    # Never taken; it only makes others unclear.
    month_first = f"{said[4:]}-{said[:2]}-{said[2:4]}"
    possible = {each for each in (day_first, year_first, month_first) if _in_range(each)}
    if len(possible) > 1:
        raise UnclearDate(_FIGURES_REASON)
    if not possible & {day_first, year_first}:
        raise UnclearDate(_NO_DATE_REASON)
    return possible.pop()


def _in_range(iso: str) -> bool:
    day = as_date(iso)
    return day is not None and FIRST_YEAR <= day.year <= LAST_YEAR


@cache
def calendar_date() -> Automaton:
    """Every wording of a date. The marks are "15-03-2027", or eight figures without a hyphen."""
    day = choice(digit(), sequence(digit(), digit()), ten_to_ninety_nine())
    month = one_of((name, f"-{at:02d}-") for at, name in enumerate(MONTHS, 1))
    return choice(sequence(day, month, _year()), _figures_alone())


def _figures_alone() -> Automaton:
    """Eight figures that can be day, month and year in some order.

    Any eight would be too many: a listener that does not know "april" hears "eight two" in it, or
    "oh two". So they must be a month that there is, and its zero is the ICAO word.
    """
    day = sequence(_one_of("0123"), digit())
    month = choice(
        sequence(word("zero", "0"), _one_of("123456789")), sequence(_one_of("1"), _one_of("012"))
    )
    year = sequence(_one_of("2"), _one_of("0"), digit(), digit())
    return choice(
        sequence(day, month, year), sequence(month, day, year), sequence(year, month, day)
    )


def _one_of(figures: str) -> Automaton:
    """A figure that is among these."""
    said = ((arc.word, *arc.emits) for arc in digit().arcs[0])
    return one_of((spelling, figure) for spelling, figure in said if figure in figures)


def _year() -> Automaton:
    """Four figures, or in groups from 2000 to 2099; two figures are heard, to be asked about."""
    one_to_nine = one_of((spelling, f"0{figure}") for spelling, figure in counted(9))
    two_places = choice(one_to_nine, ten_to_ninety_nine())
    two_thousand = choice(
        word("thousand", "2000"),
        sequence(word("thousand", "20"), optional(word("and")), two_places),
    )
    zero = one_of((("zero", "0"), ("oh", "0")))
    return choice(
        sequence(digit(), digit(), digit(), digit()),
        sequence(digit(), digit()),
        ten_to_ninety_nine(),
        sequence(word("two"), two_thousand),
        sequence(word("twenty", "20"), choice(ten_to_ninety_nine(), sequence(zero, digit()))),
    )
