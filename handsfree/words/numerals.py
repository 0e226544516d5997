"""Spoken numbers: the automaton that accepts them.

The marks along a path are the figures of the number in order, so "three thousand fifty" emits
"3", "0", "50" and "oh seven" emits "0", "7": figures as said, leading zeros kept, no arithmetic.

Four ways of saying a number are accepted:

* digit by digit, "two niner five zero" (ICAO Annex 10 Vol II, 5.2.1.4.1; FAA AIM 4-2-8);
* group form with hundred and thousand, "three thousand fifty", and with the thousands said digit
  by digit, "one three thousand five hundred" (Annex 10 Vol II, 5.2.1.4.1.2; AIM 4-2-9);
* the same as people say it, "a hundred and five", "thirty hundred";
* digit pairs, "fifty two nineteen". They are marked `PAIRS`, because the same words can be two
  numbers: a phrase that does not allow them must ask, and must never hear them as another number.

"Fifty" followed by "two" always binds to 52, never 50 and 2.

"Double four" and "triple zero" are added only where `repeats` is asked for: they are no words of
radiotelephony, and a recognizer that listens for them hears "double" in what is none.
"""

from functools import cache
from itertools import product

from handsfree.words.automaton import (
    Automaton,
    choice,
    many,
    one_of,
    optional,
    sequence,
    spoken,
    word,
)
from handsfree.words.digit_pairs import PAIRS, digit_pairs
from handsfree.words.number_words import DIGIT_WORDS, TEEN_WORDS, TENS_WORDS

_REPEATS = (("double", 2), ("triple", 3))


def figures_of(marks: tuple[str, ...]) -> str:
    """The figures that a path through `number()` has emitted."""
    return "".join(mark for mark in marks if mark != PAIRS)


def alike_in_sound(marks: tuple[str, ...]) -> tuple[str, ...]:
    """The figures of each other number that words with these marks may have been.

    "Thirteen" and "thirty" differ by a stress and an "n", up to "nineteen" and "ninety": voices in
    noise were taken for each other there with great confidence. Figures said one by one have none.
    """
    heard = tuple(mark for mark in marks if mark != PAIRS)
    if any("/" in mark for mark in heard):
        return ()
    ways = product(*((mark, *_turned(mark)) for mark in heard))
    return tuple("".join(way) for way in ways)[1:]


def _turned(mark: str) -> tuple[str, ...]:
    """ "15" as "50" and "050" as "015", where it is said as one word."""
    before, last = mark[:-2], mark[-2:]
    if len(last) < 2 or not last.isdigit():
        return ()
    tens, units = last[0], last[1]
    if tens == "1" and units >= "3":
        return (f"{before}{units}0",)
    return (f"{before}1{tens}",) if units == "0" and tens >= "3" else ()


@cache
def digit() -> Automaton:
    """One figure, zero to nine."""
    return one_of((spelling, figure) for figure, all_ in DIGIT_WORDS.items() for spelling in all_)


@cache
def number(repeats: bool = False) -> Automaton:
    """Any number, with sign and decimals, in any of the three forms."""
    whole = choice(whole_number(repeats), digit_pairs(shortest=2))
    decimals = sequence(
        one_of((("decimal", "."), ("point", "."))),
        choice(many(figure(repeats)), digit_pairs(shortest=1)),
    )
    unsigned = choice(sequence(whole, optional(decimals)), decimals)
    return sequence(optional(minus()), unsigned)


@cache
def whole_number(repeats: bool = False) -> Automaton:
    """A whole number without sign, digit by digit or in group form: the forms with one meaning."""
    return choice(many(figure(repeats)), _group_form())


@cache
def figure(repeats: bool = False) -> Automaton:
    """One figure; with `repeats` also the same figure two or three times, "double four"."""
    if not repeats:
        return digit()
    return choice(digit(), *(_repeated(spelling, times) for spelling, times in _REPEATS))


@cache
def minus() -> Automaton:
    """The sign."""
    return word("minus", "-")


def counted(highest: int) -> tuple[tuple[str, str], ...]:
    """Every way to say each number from 1 to `highest`, at most 19, as (word, figures)."""
    spellings = [(each, one) for one, all_ in DIGIT_WORDS.items() for each in all_ if one != "0"]
    spellings += [(spelling, figures) for figures, spelling in TEEN_WORDS.items()]
    return tuple(each for each in spellings if int(each[1]) <= highest)


def counted_up_to(highest: int) -> tuple[tuple[str, str], ...]:
    """Every way to say each number from 1 to `highest`, at most 99: ("twenty three", "23")."""
    tens = [(said, f"{figure}0") for figure, said in TENS_WORDS.items()]
    tens += [
        (f"{said} {unit}", f"{figure}{one}")
        for figure, said in TENS_WORDS.items()
        for unit, one in counted(9)
    ]
    return tuple(each for each in (*counted(19), *tens) if int(each[1]) <= highest)


@cache
def ten_to_ninety_nine() -> Automaton:
    """The numbers of two figures in words, "fifteen" and "twenty seven"."""
    return choice(_teen(), _tens())


def _repeated(spelling: str, times: int) -> Automaton:
    figures = one_of((each, one * times) for one, all_ in DIGIT_WORDS.items() for each in all_)
    return sequence(word(spelling), figures)


def _unit(prefix: str = "") -> Automaton:
    return one_of(
        (spelling, prefix + figure)
        for figure, all_ in DIGIT_WORDS.items()
        if figure != "0"
        for spelling in all_
    )


def _a() -> Automaton:
    """ "A hundred" is one hundred."""
    return word("a", "1")


def _teen(prefix: str = "") -> Automaton:
    return one_of((spelling, prefix + figures) for figures, spelling in TEEN_WORDS.items())


def _tens(prefix: str = "") -> Automaton:
    """20, 30 ... 90, and 21 to 99 without them."""
    bare = one_of((spelling, prefix + figure + "0") for figure, spelling in TENS_WORDS.items())
    with_unit = sequence(
        one_of((spelling, prefix + figure) for figure, spelling in TENS_WORDS.items()), _unit()
    )
    return choice(bare, with_unit)


def _group_form() -> Automaton:
    """Ten and above in words, up to 999 999."""
    two_places = choice(_unit("0"), _teen(), _tens())
    hundreds = choice(
        spoken("hundred", "00"),
        sequence(word("hundred"), optional(word("and")), two_places),
    )
    three_places = choice(
        sequence(_unit(), hundreds),
        sequence(optional(word("and")), choice(_unit("00"), _teen("0"), _tens("0"))),
    )
    how_many_hundreds = choice(_unit(), _a(), _teen(), _tens())
    how_many_thousands = choice(
        _a(),
        _unit(),
        _teen(),
        _tens(),
        sequence(_unit(), hundreds),
        # ICAO says the thousands of an altitude digit by digit: "one three thousand".
        sequence(_unit(), digit()),
        sequence(_unit(), digit(), digit()),
    )
    thousands = choice(spoken("thousand", "000"), sequence(word("thousand"), three_places))
    return choice(
        _teen(),
        _tens(),
        sequence(how_many_hundreds, hundreds),
        sequence(how_many_thousands, thousands),
    )
