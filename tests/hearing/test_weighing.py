"""Two decodings weighed together: the words that are right in both win."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.weighing import NOT_AMONG_BEST, Candidate, margin, weigh
from handsfree.hearing.whisper import FreeText, Hypothesis
from handsfree.words.phrases import BUILT_IN, Confirmation, PhraseSet, Reading

NUMBER = BUILT_IN["number"]
PRESSURE = PhraseSet((Reading(("pressure",), "psi"), Confirmation("safety pin in")))


def held(text: str, log_probability: float) -> Hypothesis:
    return Hypothesis(tuple(text.split()), log_probability)


def words(candidates: tuple[Candidate, ...]) -> list[str]:
    return [" ".join(each.words) for each in candidates]


def test_a_figure_lost_by_one_decoding_is_found_by_the_other() -> None:
    """AN4, a speaker of the tuning half: "four oh three", the held decoding has "four three"."""
    found = weigh(
        [held("four three", -0.4), held("four oh three", -1.2)], [FreeText("403.", -0.3)], NUMBER
    )
    assert words(found) == ["four oh three", "four three"]
    assert found[0].weight == pytest.approx(-1.5)


def test_texts_that_say_the_same_add_up() -> None:
    texts = [FreeText("2 9", math.log(0.4)), FreeText("29.", math.log(0.2))]
    found = weigh([held("two nine", -1.0)], texts, NUMBER)
    assert found[0].support == pytest.approx(math.log(0.6))


def test_what_is_no_phrase_is_dropped() -> None:
    texts = [FreeText("Pass me the wrench.", 0.0)]
    assert weigh([held("safety pin", -0.1), held("", -0.2)], texts, PRESSURE) == ()


def test_a_phrase_that_only_the_free_decoding_has_is_weighed_too() -> None:
    found = weigh([held("five", -2.0)], [FreeText("Safety pin in.", -0.2)], PRESSURE)
    assert words(found) == ["safety pin in", "five"]
    assert found[0].log_probability == NOT_AMONG_BEST


def test_wordings_of_one_meaning_are_one_candidate() -> None:
    found = weigh([held("nine", -0.5), held("niner", -1.5), held("five", -3.0)], [], NUMBER)
    assert words(found) == ["nine", "five"]
    assert margin(found) == pytest.approx(2.5)


def test_words_with_two_meanings_stay_a_candidate() -> None:
    """Digit pairs are not understood by this reading; they must be asked about, not replaced."""
    found = weigh([held("fifty two nineteen", -0.5), held("fifty two", -2.0)], [], PRESSURE)
    assert words(found) == ["fifty two nineteen", "fifty two"]


def test_without_a_second_meaning_the_margin_is_endless() -> None:
    assert margin(weigh([held("safety pin in", -0.1)], [], PRESSURE)) == math.inf


@given(st.lists(st.tuples(st.text("0123456789 ,.", max_size=8), st.floats(-40, 0)), max_size=10))
def test_support_is_bounded_whatever_the_free_texts(texts: list[tuple[str, float]]) -> None:
    free = [FreeText(*each) for each in texts]
    for each in weigh([held("two nine", -1.0), held("nine", -1.5)], free, NUMBER):
        assert each.support >= NOT_AMONG_BEST
