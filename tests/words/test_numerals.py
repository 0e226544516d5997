"""Spoken numbers, against the published examples of radiotelephony."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.words.meanings import Ambiguous, NotUnderstood, Parse, Stated, Understood
from handsfree.words.phrases import BUILT_IN, PhraseSet, Reading
from handsfree.words.spoken_numbers import (
    speak_figures,
    speak_in_groups,
    speak_number,
    speak_text,
)

PLAIN = BUILT_IN["number"]


def parse(text: str) -> Parse:
    return PLAIN.parse(text.split())


def figures(text: str) -> str | None:
    parsed = parse(text)
    if isinstance(parsed, Understood) and isinstance(parsed.meaning, Stated):
        return parsed.meaning.figures
    return None


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("five hundred", "500"),
        ("four thousand five hundred", "4500"),
        ("one zero thousand", "10000"),
        ("one three thousand five hundred", "13500"),
        ("one two two point one", "122.1"),
        ("one two thousand", "12000"),
        ("one two thousand five hundred", "12500"),
    ],
)
def test_figures_of_faa_aim_4_2_8_and_4_2_9(said: str, value: str) -> None:
    """FAA AIM 4-2-8 (figures) and 4-2-9 (altitudes); the examples are quoted from memory."""
    assert figures(said) == value


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("one zero", "10"),
        ("seven five", "75"),
        ("five eight three", "583"),
        ("six hundred", "600"),
        ("five thousand", "5000"),
        ("seven thousand six hundred", "7600"),
        ("one one thousand", "11000"),
        ("one eight nine zero zero", "18900"),
        ("three eight one four three", "38143"),
        ("one zero zero decimal three", "100.3"),
    ],
)
def test_figures_of_icao_annex_10(said: str, value: str) -> None:
    """ICAO Annex 10 Vol II, 5.2.1.4.1 (transmission of numbers); quoted from memory."""
    assert figures(said) == value


def test_the_icao_pronunciations_are_accepted() -> None:
    """ICAO Annex 10 Vol II, 5.2.1.4.3.1: tree, fower, fife, niner."""
    assert figures("tree fower fife niner") == "3459"


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("three thousand fifty", "3050"),
        ("ten thousand", "10000"),
        ("one zero thousand", "10000"),
        ("one three thousand five hundred", "13500"),
        ("three thousand and fifty", "3050"),
        ("two hundred", "200"),
        ("fifteen hundred", "1500"),
        ("nine nine thousand nine hundred", "99900"),
        ("six thousand nine hundred", "6900"),
        ("one one thousand two hundred", "11200"),
        ("one nine zero", "190"),
    ],
)
def test_both_group_styles_are_heard(said: str, value: str) -> None:
    """Group forms in the manner of FAA Order JO 7110.65, 2-4-17 (numbers
    usage): hundreds and thousands as words, the thousands of an altitude digit by digit. The
    paragraph is quoted from memory."""
    assert figures(said) == value


@given(st.from_regex(r"-?[0-9]{1,12}(\.[0-9]{1,6})?", fullmatch=True))
def test_figures_spoken_back_are_heard_as_themselves(said: str) -> None:
    assert figures(speak_figures(said)) == said


@given(st.decimals(min_value=-99_999, max_value=99_999, places=3))
def test_a_value_spoken_back_is_heard_as_itself(value: Decimal) -> None:
    parsed = parse(speak_number(value))
    assert isinstance(parsed, Understood)
    assert isinstance(parsed.meaning, Stated)
    assert parsed.meaning.value == value


@pytest.mark.parametrize(
    ("figures", "spoken"),
    [
        ("0", "zero"),
        ("7", "seven"),
        ("10", "ten"),
        ("19", "nineteen"),
        ("20", "twenty"),
        ("29", "twenty niner"),
        ("100", "one hundred"),
        ("101", "one hundred one"),
        ("999", "niner hundred ninety niner"),
        ("1000", "one thousand"),
        ("3050", "three thousand fifty"),
        ("12115", "twelve thousand one hundred fifteen"),
        ("999999", "niner hundred ninety niner thousand niner hundred ninety niner"),
        ("1000000", "one zero zero zero zero zero zero"),
        ("0293", "two hundred ninety three"),
        ("-20.50", "minus twenty decimal five zero"),
        (".5", "zero decimal five"),
    ],
)
def test_a_number_in_groups_is_spoken_so(figures: str, spoken: str) -> None:
    """In the manner of FAA AIM 4-2-8 and 4-2-9; from seven figures on one by one."""
    assert speak_in_groups(figures) == spoken


def test_leading_zeros_are_kept() -> None:
    assert figures("oh seven zero") == "070"


def test_tens_and_a_unit_are_one_number_of_two_figures() -> None:
    assert figures("fifty two") == "52"
    assert figures("fifty two nineteen") == "5219"


def test_a_number_with_digit_pairs_is_ambiguous_unless_allowed() -> None:
    said = ["fifty", "two", "nineteen"]
    asked = PhraseSet((Reading(("gauge",), "psi"),)).parse(said)
    assert asked == Ambiguous("digit pairs can be two numbers, say each digit")
    allowed = PhraseSet((Reading(("gauge",), "psi", digit_pairs=True),)).parse(said)
    assert allowed == Understood(Stated("5219"))


@pytest.mark.parametrize("said", ["", "thousand", "zero thousand", "minus", "point", "five point"])
def test_a_part_of_a_number_is_not_understood(said: str) -> None:
    assert isinstance(parse(said), NotUnderstood)


NUMBER_WORDS = sorted(PLAIN.vocabulary)


@given(st.lists(st.sampled_from(NUMBER_WORDS), max_size=12))
def test_any_run_of_number_words_has_at_most_one_meaning(words: list[str]) -> None:
    """The grammar of plain numbers is unambiguous: no words are two different numbers."""
    assert not isinstance(PLAIN.parse(words), Ambiguous)


@given(st.integers(31, 2000), st.integers(0, 9))
def test_a_number_of_any_length_is_exact(length: int, one: int) -> None:
    said = str(one) * length
    parsed = PLAIN.parse(speak_figures(said).split())
    assert isinstance(parsed, Understood)
    assert isinstance(parsed.meaning, Stated)
    assert (parsed.meaning.figures, parsed.meaning.value) == (said, Decimal(int(said)))


@pytest.mark.parametrize(
    "said",
    ["zwei neun fünf null", "deux mille", "dos mil", "two neuf", "два", "二千九百五十", "2950"],
)
def test_another_language_or_figures_are_not_understood(said: str) -> None:
    assert isinstance(parse(said), NotUnderstood)


@given(st.text(max_size=200))
def test_any_text_gives_an_answer_and_no_exception(text: str) -> None:
    parse(text)


def test_numbers_in_a_text_are_spoken_digit_by_digit() -> None:
    assert speak_text("revision R12") == "revision R one two"
    assert speak_text("Task 25-66-41, 2,950 psi at -20") == (
        "Task two five six six four one, two niner five zero psi at minus two zero"
    )
