"""Fractions of gauges and rulers, and values of every kind spoken back and heard again."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handsfree.words.fractions import (
    FRACTION_STEPS,
    as_fraction,
    may_be_two_numbers,
    speak_measured,
    value_of,
)
from handsfree.words.meanings import Ambiguous, NotUnderstood, Parse, Stated, Understood
from handsfree.words.phrases import PhraseSet, Reading

RULER = Reading(("length",), "in", fractions=True)
INCHES = PhraseSet((RULER,))


def parse(said: str) -> Parse:
    return INCHES.parse(said.split())


def stated(said: str) -> Stated:
    parsed = parse(said)
    assert isinstance(parsed, Understood), parsed
    assert isinstance(parsed.meaning, Stated)
    return parsed.meaning


@pytest.mark.parametrize(
    ("said", "figures", "value"),
    [
        ("three and five sixteenths inches", "3 5/16", "3.3125"),
        ("one half inch", "1/2", "0.5"),
        ("seven eighths", "7/8", "0.875"),
        ("half an inch", "1/2", "0.5"),
        ("five sixteenths of an inch", "5/16", "0.3125"),
        ("three and a half", "3 1/2", "3.5"),
        ("a quarter", "1/4", "0.25"),
        ("two and three fourths", "2 3/4", "2.75"),
        ("one zero and fifteen sixteenths", "10 15/16", "10.9375"),
        ("one hundred and one eighth", "100 1/8", "100.125"),
        ("minus one and one half", "-1 1/2", "-1.5"),
        ("length niner sixteenths", "9/16", "0.5625"),
        # Not reduced: a ruler is read as it is marked.
        ("four eighths", "4/8", "0.5"),
    ],
)
def test_fractions_are_heard_as_said(said: str, figures: str, value: str) -> None:
    """Common practice, no source."""
    assert (stated(said).figures, stated(said).value) == (figures, Decimal(value))


@pytest.mark.parametrize(
    "said", ["one five sixteenths", "twenty five sixteenths inches", "three one half"]
)
def test_a_fraction_after_a_number_needs_the_word_and(said: str) -> None:
    """ "One five sixteenths" can be 15/16 or 1 5/16."""
    assert parse(said) == Ambiguous("a fraction after a number needs the word and")


@pytest.mark.parametrize(
    "said",
    [
        "seven eight",
        "length seven eight inches",
        "one seven eight",
        "minus two four",
        "three four",
        "fifteen sixteen",
    ],
)
def test_figures_that_sound_as_parts_do_are_asked_about(said: str) -> None:
    """Both listeners wrote "seven eight" for a synthetic voice's "seven eighths" (RESULTS.md)."""
    assert parse(said) == Ambiguous(
        "parts and figures sound alike, say tens as in seventy eight, or decimals"
    )


@pytest.mark.parametrize(
    ("said", "figures"),
    [
        ("seventy eight inches", "78"),
        ("eight eight", "88"),
        ("four four", "44"),
        ("decimal eight seven five", ".875"),
    ],
)
def test_other_figures_on_a_scale_of_parts_are_heard(said: str, figures: str) -> None:
    assert stated(said).figures == figures


def test_figures_are_figures_where_a_reading_allows_no_fractions() -> None:
    plain = PhraseSet((Reading(("length",), "in"),)).parse(("seven", "eight"))
    assert isinstance(plain, Understood)


@pytest.mark.parametrize("said", ["two halves", "sixteen sixteenths", "half an", "and a half"])
def test_no_fraction_is_a_whole_or_a_part_of_one(said: str) -> None:
    assert isinstance(parse(said), NotUnderstood)


@pytest.mark.parametrize("said", ["one half", "three and five sixteenths"])
def test_fractions_are_heard_only_where_a_reading_allows_them(said: str) -> None:
    plain = PhraseSet((Reading(("length",), "in"),))
    assert isinstance(plain.parse(said.split()), NotUnderstood)


@given(
    st.lists(
        st.sampled_from(
            [
                "one",
                "two",
                "ten",
                "fifty",
                "hundred",
                "and",
                "a",
                "half",
                "eighth",
                "eighths",
                "minus",
                "point",
            ]
        ),
        max_size=9,
    )
)
def test_words_of_fractions_have_at_most_one_meaning(words: list[str]) -> None:
    assert parse(" ".join(words)) != Ambiguous("those words have two meanings here")


def sounds_as_parts(spoken: str) -> bool:
    """Whether it is figures of which the last two sound nearly as parts of one."""
    if any(word in spoken for word in ("decimal", "eighth", "quarter", "half", "sixteenth")):
        return False
    over, _, parts = " ".join(spoken.split()[-2:]).partition(" ")
    return (over, parts) in {
        *((each, "four") for each in ("one", "two", "three")),
        *((each, "eight") for each in ("one", "two", "three", "four", "five", "six", "seven")),
    }


SIXTEENTHS = st.integers(-(10**6), 10**6).map(lambda parts: Decimal(parts) / 16)
DECIMALS = st.decimals(allow_nan=False, allow_infinity=False, places=4)


@given(SIXTEENTHS)
def test_a_fraction_spoken_back_is_heard_as_itself(value: Decimal) -> None:
    figures = as_fraction(value)
    assert value_of(figures) == value
    assume(not sounds_as_parts(speak_measured(figures)))
    assert stated(speak_measured(figures)).figures == figures


def test_a_whole_limit_on_a_ruler_is_no_decimal_of_as_many_places_as_it_is_written_with() -> None:
    """Not "one decimal zero zero zero inches", as 1.000 stands in a task."""
    assert speak_measured(as_fraction(Decimal("1.000"))) == "one"
    assert speak_measured(as_fraction(Decimal("-12.0"))) == "minus one two"


@given(st.one_of(SIXTEENTHS, DECIMALS), st.sampled_from(["in", "mm", None]))
def test_every_value_of_a_reading_spoken_back_is_heard_as_itself(
    value: Decimal, unit: str | None
) -> None:
    """Negative, whole, in decimals or as a fraction, with its unit or without."""
    said = speak_measured(as_fraction(value))
    assume(not sounds_as_parts(said))
    heard = stated(f"length {said} {'inches' if unit == 'in' else 'millimetres' if unit else ''}")
    assert (heard.value, heard.unit) == (value, unit)


@given(st.integers(0, 10**40), st.integers(1, 15))
def test_a_long_fraction_is_not_rounded(whole: int, over: int) -> None:
    assert Fraction(value_of(f"{whole} {over}/16")) == whole + Fraction(over, 16)


def test_the_steps_that_can_be_said_go_from_one_to_a_sixty_fourth() -> None:
    assert [str(step) for step in FRACTION_STEPS] == [
        *("1", "0.5", "0.25", "0.125", "0.0625", "0.03125", "0.015625"),
    ]


def fine(said: str, parts: int = 64) -> Parse:
    scale = Reading(("length",), "in", fractions=True, finest_parts=parts)
    return PhraseSet((scale,)).parse(said.split())


@pytest.mark.parametrize(
    ("said", "figures", "value"),
    [
        ("five thirty seconds inch", "5/32", "0.15625"),
        ("one thirty second of an inch", "1/32", "0.03125"),
        ("three sixty fourths", "3/64", "0.046875"),
        ("twenty three thirty seconds", "23/32", "0.71875"),
        ("two and thirty one sixty fourths inches", "2 31/64", "2.484375"),
        ("seven eighths", "7/8", "0.875"),
        ("zero decimal one five six inches", "0.156", "0.156"),
    ],
)
def test_thirty_seconds_and_sixty_fourths_are_heard_on_a_scale_of_them(
    said: str, figures: str, value: str
) -> None:
    """Decimals as in the table of fractions and decimals of any handbook, from memory."""
    parsed = fine(said)
    assert isinstance(parsed, Understood)
    assert isinstance(parsed.meaning, Stated)
    assert (parsed.meaning.figures, parsed.meaning.value) == (figures, Decimal(value))


@pytest.mark.parametrize(
    "said",
    [
        "thirty three thirty seconds",  # more than a whole
        "thirty two thirty seconds",  # a whole
        "sixty four sixty fourths",
        "one five thirty seconds",
        "thirty seconds",
        "five minutes",
    ],
)
def test_what_is_no_fraction_of_the_scale_is_not_taken(said: str) -> None:
    assert not isinstance(fine(said), Understood)


def test_a_time_can_be_said_where_no_parts_are_called_as_one_is() -> None:
    assert stated("five minutes") == Stated("5", "min")
    assert isinstance(fine("five minutes", 32), NotUnderstood)


def test_a_scale_of_thirty_seconds_has_no_sixty_fourths_and_one_of_sixteenths_neither() -> None:
    assert isinstance(fine("three sixty fourths", 32), NotUnderstood)
    assert not isinstance(parse("five thirty seconds"), Understood)


@given(st.sampled_from([32, 64]), st.integers(0, 40), st.data())
def test_a_fine_fraction_spoken_back_is_heard_as_itself(
    parts: int, whole: int, data: st.DataObject
) -> None:
    over = data.draw(st.integers(1, parts - 1))
    figures = f"{whole} {over}/{parts}" if whole else f"{over}/{parts}"
    parsed = fine(speak_measured(figures))
    assert isinstance(parsed, Understood)
    assert isinstance(parsed.meaning, Stated)
    assert parsed.meaning.figures == figures


@pytest.mark.parametrize(
    ("parts", "names"),
    [
        (2, ("half", "halves")),
        (4, ("quarter", "quarters", "fourth", "fourths")),
        (8, ("eighth", "eighths")),
        (16, ("sixteenth", "sixteenths")),
        (32, ("thirty second", "thirty seconds")),
        (64, ("sixty fourth", "sixty fourths")),
    ],
)
def test_parts_are_called_as_the_trade_calls_them(parts: int, names: tuple[str, ...]) -> None:
    """Common practice, no source. Of one part "a" is said as well, but of the finest."""
    for name in names:
        parsed = fine(f"one {name} inch")
        assert isinstance(parsed, Understood)
        assert isinstance(parsed.meaning, Stated)
        assert parsed.meaning.figures == f"1/{parts}"
    assert isinstance(fine(f"a {names[0]}"), Understood) is (parts <= 16)
    assert speak_measured(f"1/{parts}") == f"one {names[0]}"
    if parts > 2:
        assert speak_measured(f"3/{parts}") == f"three {names[1]}"


def test_a_fraction_that_could_be_two_numbers_is_known_as_one() -> None:
    """ "Twenty three thirty seconds" could be 20 and 3/32: it is read back in decimals too.

    So could every one that is said in four words. Behind a whole number there is an "and".
    """
    every = [f"{over}/{parts}" for parts in (2, 4, 8, 16, 32, 64) for over in range(1, parts)]
    of_four_words = [each for each in every if len(speak_measured(each).split()) == 4]
    assert [each for each in every if may_be_two_numbers(each)] == of_four_words
    assert {"23/32", "21/32", "41/64"} <= {*of_four_words}
    assert may_be_two_numbers("-23/32")
    assert not may_be_two_numbers("3 23/32")
    assert not may_be_two_numbers("23")
