"""Spoken numbers against two reference libraries: num2words says them, text2num reads them."""

import random
from decimal import Decimal
from itertools import pairwise, product

import pytest
from num2words import num2words
from text_to_num import text2num

from handsfree.words.meanings import Stated, Understood
from handsfree.words.phrases import BUILT_IN

_SEED = 5


def ours(words: list[str]) -> str | None:
    parsed = BUILT_IN["number"].parse(words)
    if isinstance(parsed, Understood) and isinstance(parsed.meaning, Stated):
        return parsed.meaning.figures
    return None


def theirs(words: list[str]) -> Decimal | None:
    try:
        return Decimal(str(text2num(" ".join(words), "en")))
    except ValueError:
        return None


def spoken(value: int | Decimal) -> list[str]:
    return str(num2words(value)).replace("-", " ").replace(",", "").split()


@pytest.mark.slow
def test_every_integer_below_100_000_is_heard_as_itself() -> None:
    for value in range(100_000):
        assert ours(spoken(value)) == str(value)


def test_every_integer_below_a_thousand_and_one_in_fifty_above_is_heard_as_itself() -> None:
    for value in (*range(1000), *range(1000, 100_000, 49)):
        assert ours(spoken(value)) == str(value)


def test_two_thousand_decimals_are_heard_as_themselves() -> None:
    draw = random.Random(_SEED)
    for _ in range(2000):
        places = draw.randint(1, 4)
        value = Decimal(draw.randint(-99_999 * 10**places, 99_999 * 10**places)).scaleb(-places)
        figures = ours(spoken(value))
        assert figures is not None
        assert Decimal(figures) == value, spoken(value)


# One word of each kind that the two could read differently: text2num has no "niner".
KINDS = ("zero", "oh", "two", "five", "thirteen", "twenty", "hundred", "thousand", "and", "point")


def of_ours_alone(words: list[str]) -> str | None:
    """Why text2num refuses what we accept."""
    if {"oh", "point"} & set(words):
        return "text2num reads whole numbers, and no 'oh'"
    if not {"hundred", "thousand"} & set(words):
        return "figures one after the other, alone or in pairs"
    before = words[: words.index("thousand")] if "thousand" in words else words
    if len(before) > 1 and before[0] in ("two", "five"):
        return "the thousands of an altitude, digit by digit (ICAO Annex 10 Vol II, 5.2.1.4.1.2)"
    return None


def of_theirs_alone(words: list[str]) -> str | None:
    """Why we refuse what text2num accepts."""
    if words[0] in ("hundred", "thousand"):
        return "how many hundreds or thousands was not said: the beginning may be lost"
    if words[0] == "zero":
        return "no number of hundreds or thousands begins with zero: something was misheard"
    for one, two in pairwise(words):
        if two == "and" and one in ("two", "five", "thirteen", "twenty"):
            return "'and' stands only after hundred and thousand: else two numbers are listed"
        if one in ("thousand", "hundred") and two == "and":
            return "after 'hundred and' comes a number below a hundred"
    if "hundred" in words and "twenty" in words[: words.index("hundred")]:
        return "'twenty two hundred' can be 20 and 200: hundreds are counted to nineteen only"
    return None


def test_where_both_read_a_number_they_read_the_same() -> None:
    """Every row of up to four words; there is no difference to list."""
    compared = 0
    for length in range(1, 5):
        for words in map(list, product(KINDS, repeat=length)):
            mine, yours = ours(words), theirs(words)
            if mine is not None and yours is not None:
                assert Decimal(mine) == yours, words
                compared += 1
            elif mine is not None:
                assert of_ours_alone(words), (words, mine)
            elif yours is not None:
                assert of_theirs_alone(words), (words, yours)
    assert compared > 80


def test_where_both_read_a_longer_number_they_read_the_same() -> None:
    draw = random.Random(_SEED)
    for _ in range(2000):
        words = spoken(draw.randint(0, 999_999))
        assert Decimal(ours(words) or "-1") == theirs(words)
