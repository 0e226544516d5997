"""Spoken numbers: the automaton that accepts them, and how a value is spoken back.

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

import re
from decimal import Decimal
from functools import cache
from itertools import product

from handsfree.words.automaton import (
    Arc,
    Automaton,
    choice,
    many,
    one_of,
    optional,
    sequence,
    spoken,
    word,
)

PAIRS = "pairs"

# 2,950 or 12.5 or 25-66-41, and -20 where no letter or figure stands before the sign.
_NUMBER_IN_TEXT = re.compile(r"(?:(?<![\w-])-)?\d+(?:[.,-]\d+)*")

_DIGIT_WORDS = {
    "0": ("zero", "oh"),
    "1": ("one",),
    "2": ("two",),
    "3": ("three", "tree"),
    "4": ("four", "fower"),
    "5": ("five", "fife"),
    "6": ("six",),
    "7": ("seven",),
    "8": ("eight",),
    "9": ("nine", "niner"),
}
_TEEN_WORDS = {
    "10": "ten",
    "11": "eleven",
    "12": "twelve",
    "13": "thirteen",
    "14": "fourteen",
    "15": "fifteen",
    "16": "sixteen",
    "17": "seventeen",
    "18": "eighteen",
    "19": "nineteen",
}
_TENS_WORDS = {
    "2": "twenty",
    "3": "thirty",
    "4": "forty",
    "5": "fifty",
    "6": "sixty",
    "7": "seventy",
    "8": "eighty",
    "9": "ninety",
}

_MOST_GROUPED = 6  # figures

_REPEATS = (("double", 2), ("triple", 3))

USUAL_DIGIT_WORDS = {figure: spellings[0] for figure, spellings in _DIGIT_WORDS.items()}
"""How each figure is said where nobody minds the ICAO words: "nine" and "five"."""

_SPOKEN = {figure: spellings[0] for figure, spellings in _DIGIT_WORDS.items()} | {
    "9": "niner",
    ".": "decimal",
    "-": "minus",
}


def speak_figures(figures: str) -> str:
    """Say `figures` (0 to 9, ".", "-") one by one: "29.5" is "two niner decimal five".

    "Niner" and "decimal" are the ICAO words (Annex 10 Vol II, 5.2.1.4.3.1 and 5.2.1.4.1.4).
    """
    return " ".join(_SPOKEN[figure] for figure in figures)


def speak_number(value: Decimal) -> str:
    """Say `value` digit by digit, every figure that it holds and no more."""
    return speak_figures(f"{value:f}")


def speak_text(text: str) -> str:
    """`text` with each number in it said digit by digit, so "25-66" is "two five six six"."""
    return _NUMBER_IN_TEXT.sub(_say_match, text)


def _say_match(match: re.Match[str]) -> str:
    # A hyphen between figures joins a reference; only one before a lone number is a minus sign.
    figures = match.group().replace(",", "")
    minus = "-" if figures.startswith("-") else ""
    spoken = speak_figures(minus + figures.replace("-", ""))
    # "R12" is a letter and figures: "R one two".
    joined = match.start() > 0 and match.string[match.start() - 1].isalnum()
    return f" {spoken}" if joined else spoken


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


def speak_in_groups(figures: str) -> str:
    """`figures` as people say a number: "3050" is "three thousand fifty".

    Decimals are said one by one; so is a number of more than six figures before them.
    """
    sign = "minus " if figures.startswith("-") else ""
    whole, point, decimals = figures.removeprefix("-").partition(".")
    whole = whole.lstrip("0") or "0"
    said = speak_figures(whole) if len(whole) > _MOST_GROUPED else _grouped(int(whole))
    return f"{sign}{said}{f' decimal {speak_figures(decimals)}' if point else ''}"


def _grouped(number: int) -> str:
    thousands, rest = divmod(number, 1000)
    hundreds, last = divmod(rest, 100)
    parts = [f"{_grouped(thousands)} thousand"] if thousands else []
    parts += [f"{speak_figures(str(hundreds))} hundred"] if hundreds else []
    if last in range(10, 20):
        parts.append(_TEEN_WORDS[str(last)])
    elif last:
        tens, units = divmod(last, 10)
        parts += [_TENS_WORDS[str(tens)]] if tens else []
        parts += [speak_figures(str(units))] if units else []
    return " ".join(parts) or "zero"


@cache
def digit() -> Automaton:
    """One figure, zero to nine."""
    return one_of((spelling, figure) for figure, all_ in _DIGIT_WORDS.items() for spelling in all_)


@cache
def number(repeats: bool = False) -> Automaton:
    """Any number, with sign and decimals, in any of the three forms."""
    whole = choice(whole_number(repeats), _digit_pairs(shortest=2))
    decimals = sequence(
        one_of((("decimal", "."), ("point", "."))),
        choice(many(figure(repeats)), _digit_pairs(shortest=1)),
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
    spellings = [(each, one) for one, all_ in _DIGIT_WORDS.items() for each in all_ if one != "0"]
    spellings += [(spelling, figures) for figures, spelling in _TEEN_WORDS.items()]
    return tuple(each for each in spellings if int(each[1]) <= highest)


def counted_up_to(highest: int) -> tuple[tuple[str, str], ...]:
    """Every way to say each number from 1 to `highest`, at most 99: ("twenty three", "23")."""
    tens = [(said, f"{figure}0") for figure, said in _TENS_WORDS.items()]
    tens += [
        (f"{said} {unit}", f"{figure}{one}")
        for figure, said in _TENS_WORDS.items()
        for unit, one in counted(9)
    ]
    return tuple(each for each in (*counted(19), *tens) if int(each[1]) <= highest)


@cache
def ten_to_ninety_nine() -> Automaton:
    """The numbers of two figures in words, "fifteen" and "twenty seven"."""
    return choice(_teen(), _tens())


def _repeated(spelling: str, times: int) -> Automaton:
    figures = one_of((each, one * times) for one, all_ in _DIGIT_WORDS.items() for each in all_)
    return sequence(word(spelling), figures)


def _unit(prefix: str = "") -> Automaton:
    return one_of(
        (spelling, prefix + figure)
        for figure, all_ in _DIGIT_WORDS.items()
        if figure != "0"
        for spelling in all_
    )


def _a() -> Automaton:
    """ "A hundred" is one hundred."""
    return word("a", "1")


def _teen(prefix: str = "") -> Automaton:
    return one_of((spelling, prefix + figures) for figures, spelling in _TEEN_WORDS.items())


def _tens(prefix: str = "") -> Automaton:
    """20, 30 ... 90, and 21 to 99 without them."""
    bare = one_of((spelling, prefix + figure + "0") for figure, spelling in _TENS_WORDS.items())
    with_unit = sequence(
        one_of((spelling, prefix + figure) for figure, spelling in _TENS_WORDS.items()), _unit()
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


def _digit_pairs(shortest: int) -> Automaton:
    """Figures of which some are said in twos, at least `shortest` items, marked `PAIRS`.

    A state is (items so far up to `shortest`, a pair was said, the last item was a bare tens
    word). After a bare tens word no unit may follow: it would have bound to it.
    """
    numbers: dict[tuple[object, ...], int] = {}
    table: list[list[Arc]] = []
    todo: list[tuple[int, bool, bool]] = []

    def state(items: int, paired: bool, bare: bool) -> int:
        key = (min(items, shortest), paired, bare)
        if key not in numbers:
            numbers[key] = len(table)
            table.append([])
            todo.append(key)
        return numbers[key]

    def new_state() -> int:
        table.append([])
        return len(table) - 1

    state(0, False, False)
    while todo:
        items, paired, bare = todo.pop()
        here = table[numbers[(items, paired, bare)]]
        mark = () if paired else (PAIRS,)
        for figure, spellings in _DIGIT_WORDS.items():
            if bare and figure != "0":
                continue
            here.extend(Arc(each, (figure,), state(items + 1, paired, False)) for each in spellings)
        for figures, spelling in _TEEN_WORDS.items():
            here.append(Arc(spelling, (*mark, figures), state(items + 1, True, False)))
        for figure, spelling in _TENS_WORDS.items():
            here.append(Arc(spelling, (*mark, figure + "0"), state(items + 1, True, True)))
            within = new_state()
            here.append(Arc(spelling, (*mark, figure), within))
            table[within].extend(
                Arc(each, (unit,), state(items + 1, True, False))
                for unit, spellings in _DIGIT_WORDS.items()
                if unit != "0"
                for each in spellings
            )
    finals = {
        number for (items, paired, *_), number in numbers.items() if items == shortest and paired
    }
    return Automaton(tuple(tuple(arcs) for arcs in table), frozenset(finals))
