"""Phrase sets: what can be heard is what can be understood."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.words.alphabet import LETTER_WORDS, speak_characters
from handsfree.words.meanings import (
    Ambiguous,
    Confirmed,
    Identified,
    NotUnderstood,
    Spoke,
    Stated,
    Understood,
)
from handsfree.words.phrases import Confirmation, Identity, PhraseSet, Reading, Standard
from handsfree.words.standard import StandardWord
from handsfree.words.units import UNITS

PRESSURE = PhraseSet(
    (
        Reading(("pressure", "gauge"), "psi"),
        Confirmation("safety pin fitted"),
        *(Standard(word) for word in StandardWord),
    )
)
SERIAL = PhraseSet((Identity(("serial number",)),))


def meaning(phrases: PhraseSet, said: str) -> object:
    parsed = phrases.parse(said.split())
    return parsed.meaning if isinstance(parsed, Understood) else parsed


@pytest.mark.parametrize(
    "said",
    [
        "two niner five zero",
        "pressure two niner five zero",
        "gauge two niner five zero",
        "two thousand nine hundred fifty",
    ],
)
def test_the_name_of_a_reading_may_be_left_out(said: str) -> None:
    assert meaning(PRESSURE, said) == Stated("2950")


def test_the_unit_of_a_reading_is_heard_as_said() -> None:
    assert meaning(PRESSURE, "two niner five zero p s i") == Stated("2950", "psi")
    assert meaning(PRESSURE, "two hundred bar") == Stated("200", "bar")


def test_plain_degrees_are_those_that_were_asked_for() -> None:
    fahrenheit = PhraseSet((Reading(("temperature",), "degF"),))
    assert meaning(fahrenheit, "nine five degrees") == Stated("95", "degF")
    assert meaning(PRESSURE, "nine five degrees") == Stated("95", "degC")


def test_correction_before_a_value_marks_it() -> None:
    assert meaning(PRESSURE, "correction pressure three zero five zero") == Stated(
        "3050", corrects=True
    )


@pytest.mark.parametrize("word", StandardWord)
def test_every_standard_word_means_itself(word: StandardWord) -> None:
    for spelling in word.spellings:
        assert meaning(PRESSURE, spelling) == Spoke(word)


def test_a_confirmation_is_word_for_word() -> None:
    assert meaning(PRESSURE, "safety pin fitted") == Confirmed("safety pin fitted")
    assert meaning(PRESSURE, "pin fitted") == NotUnderstood(("pin", "fitted"))


def test_words_with_two_meanings_are_asked_about() -> None:
    both = PhraseSet((Reading(("count",), "each"), Identity(("count",))))
    assert both.parse(["four"]) == Ambiguous("those words have two meanings here")


def test_an_identity_mixes_letters_and_figures() -> None:
    """Issue example: "serial kilo zero four seven bravo"; ICAO Annex 10 Vol II, figure 5-1."""
    assert meaning(SERIAL, "serial number kilo zero four seven bravo") == Identified("K047B")


@given(st.text(string.ascii_uppercase + string.digits, min_size=1, max_size=12))
def test_an_identity_spoken_back_is_heard_as_itself(characters: str) -> None:
    assert meaning(SERIAL, speak_characters(characters)) == Identified(characters)


def test_the_alphabet_has_every_letter_once() -> None:
    assert "".join(LETTER_WORDS) == string.ascii_uppercase
    said = [spelling for spellings in LETTER_WORDS.values() for spelling in spellings]
    assert len(set(said)) == len(said)


def test_no_unit_is_said_like_another() -> None:
    said = [spelling for unit in UNITS.values() for spelling in unit.said]
    assert len(set(said)) == len(said)


@given(st.lists(st.sampled_from(sorted(PRESSURE.vocabulary)), max_size=10))
def test_any_words_of_the_vocabulary_give_an_answer(words: list[str]) -> None:
    assert isinstance(PRESSURE.parse(words), Understood | Ambiguous | NotUnderstood)
