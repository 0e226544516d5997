"""How well each person has been heard, and what that asks for."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.trust import CRITICAL_VALUE_AT, VALUE_AT
from handsfree.engine.voices import BEFORE, Voice, Voices

HEARINGS = st.lists(st.booleans(), max_size=30)


def heard(*right: bool) -> Voice:
    voice = Voice()
    for each in right:
        voice = voice.counted(each)
    return voice


def test_a_voice_of_which_nothing_is_known_is_heard_as_the_score_says() -> None:
    assert Voice().share_wrong == BEFORE == Fraction(1, 50)
    assert Voice().corrected(0.93) == 0.93


def test_the_share_of_wrong_hearings_is_the_mean_of_the_beta_distribution() -> None:
    """Beta(49 + 7, 1 + 3) has the mean 4 / 60 (any table of conjugate priors)."""
    assert heard(*[True] * 7, *[False] * 3).share_wrong == Fraction(4, 60)


def test_a_score_of_a_voice_that_was_misheard_counts_less() -> None:
    """By hand: odds 19, times (56 / 4) / 49, is 5.43; and 5.43 / 6.43 is 0.844."""
    assert heard(*[True] * 7, *[False] * 3).corrected(0.95) == pytest.approx(0.8445, abs=1e-4)


def test_one_mishearing_makes_a_value_just_believed_before_be_asked_again() -> None:
    assert heard(False).corrected(VALUE_AT) < VALUE_AT
    assert heard(False).corrected(CRITICAL_VALUE_AT) < CRITICAL_VALUE_AT
    assert heard(False).corrected(0.99) > CRITICAL_VALUE_AT


@given(HEARINGS, st.floats(0, 1))
def test_a_score_is_never_raised(right: list[bool], score: float) -> None:
    assert 0 <= heard(*right).corrected(score) <= score


@given(HEARINGS, st.floats(0, 1))
def test_one_more_mishearing_never_raises_a_score(right: list[bool], score: float) -> None:
    assert heard(*right, False).corrected(score) <= heard(*right).corrected(score)


@given(HEARINGS, st.floats(0, 1), st.floats(0, 1))
def test_the_surer_of_two_hearings_stays_the_surer(
    right: list[bool], one: float, other: float
) -> None:
    low, high = sorted((one, other))
    assert heard(*right).corrected(low) <= heard(*right).corrected(high)


def test_three_misheard_of_the_last_ten_are_too_many() -> None:
    assert not heard(False, False, *[True] * 8).is_badly_heard
    assert heard(False, *[True] * 7, False, False).is_badly_heard
    assert heard(False, False, False).is_badly_heard
    assert not heard(False, *[True] * 8, False, False).is_badly_heard


def test_each_person_is_counted_alone() -> None:
    voices = Voices().with_voice("OA417", heard(False)).with_voice("OA522", heard(True))
    assert voices.voice("OA417").wrong == 1
    assert voices.voice("OA522").wrong == 0
    assert voices.with_voice("OA417", heard(False, False)).voice("OA417").wrong == 2
    assert voices.voice("OA633") == Voice()


def test_a_sure_hearing_stays_sure_whoever_said_it() -> None:
    for voice in (Voice(), Voice(wrong=9), Voice(right=9)):
        assert voice.corrected(1.0) == 1.0
        assert voice.corrected(0.0) == 0.0


def test_each_person_has_one_voice_which_is_the_latest() -> None:
    one, other = Voice(right=1), Voice(wrong=2)
    voices = Voices().with_voice("OA1", one).with_voice("OA2", one).with_voice("OA1", other)
    assert voices.of == (("OA2", one), ("OA1", other))


def test_what_was_heard_of_a_role_goes_to_whoever_is_found_to_have_it() -> None:
    heard, known = Voice(right=3), Voice(wrong=1)
    voices = Voices().with_voice("technician", heard).with_voice("OA2", known)
    assert voices.identified("technician", "OA1").of == (("OA2", known), ("OA1", heard))
    # Whoever was heard under their own number before is known by that.
    assert voices.identified("technician", "OA2").of == (("OA2", known),)
    assert voices.identified("inspector", "OA1").of == voices.of
