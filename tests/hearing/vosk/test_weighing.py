"""How likely each meaning is among what Vosk kept."""

import math
from datetime import timedelta
from decimal import Decimal
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.vosk.result import Alternative, SaidWord
from handsfree.hearing.vosk.weighing import VoskResults, weigh
from handsfree.words.meanings import Stated
from handsfree.words.phrases import Confirmation, PhraseSet, Reading

PRESSURE = PhraseSet((Reading(("pressure",), "psi"), Confirmation("pin fitted")))
WORDS = ("two", "nine", "niner", "five", "pressure", "pin", "fitted", "[unk]")


def weighed(
    *alternatives: tuple[str, float], said: str = "", confidence: float = 1.0
) -> VoskResults:
    words = tuple(SaidWord(each, confidence, timedelta(0), timedelta(0)) for each in said.split())
    return weigh(tuple(Alternative(tuple(t.split()), x) for t, x in alternatives), words, PRESSURE)


def test_wordings_of_one_meaning_count_together() -> None:
    found = weighed(("two five", 10), ("two niner", 10), ("pressure two nine", 10))
    assert found.best is not None
    assert isinstance(found.best.meaning, Stated)
    assert found.best.meaning.value == Decimal(29)
    assert found.best.probability == pytest.approx(2 / 3)
    assert found.margin == pytest.approx(math.log(2))


def test_a_nat_is_a_factor_of_e() -> None:
    found = weighed(("two five", 10), ("two nine", 9))
    assert found.best is not None
    assert found.best.probability == pytest.approx(1 / (1 + math.exp(-1)))


def test_where_something_else_is_likelier_nothing_is_heard() -> None:
    """ "Pin ready" is heard as a pin and something unknown, and that is no phrase."""
    found = weighed(("pin [unk]", 10), ("pin fitted", 9))
    assert found.best is None
    assert found.outside == pytest.approx(1 / (1 + math.exp(-1)))


def test_different_results_outside_the_set_count_together() -> None:
    found = weighed(("pin fitted", 10), ("pin [unk]", 9.9), ("pin pin", 9.9))
    assert found.best is None


def test_the_least_sure_word_counts() -> None:
    assert weighed(("two nine", 10), said="two nine", confidence=0.4).least_confidence == 0.4


def test_words_that_mean_another_thing_than_the_whole_give_no_confidence() -> None:
    """Vosk chooses words one by one to err in fewest of them, and wholes by likelihood."""
    assert weighed(("two nine", 10), said="two five").least_confidence == 0
    assert weighed(("two nine", 10), said="").least_confidence == 0


def test_words_with_two_meanings_are_a_meaning_of_their_own() -> None:
    found = weighed(("fifty two nineteen", 10))
    assert found.best is not None
    assert found.best.meaning == ("fifty", "two", "nineteen")


alternatives = st.lists(
    st.tuples(st.lists(st.sampled_from(WORDS), max_size=4).map(" ".join), st.floats(-1e4, 1e4)),
    min_size=1,
    max_size=10,
)


@given(alternatives)
def test_the_probabilities_are_of_one_whole(found: list[tuple[str, float]]) -> None:
    result = weighed(*found)
    whole = result.outside + sum(each.probability for each in result.candidates)
    assert whole == pytest.approx(1)
    assert result.margin >= 0
    assert len({each.meaning for each in result.candidates}) == len(result.candidates)


@given(alternatives, st.randoms())
def test_the_order_of_the_alternatives_does_not_matter(
    found: list[tuple[str, float]], random: Random
) -> None:
    shuffled = list(found)
    random.shuffle(shuffled)
    before, after = weighed(*found), weighed(*shuffled)
    assert before.outside == pytest.approx(after.outside)
    for each in before.candidates:
        assert after.probability_of(each.meaning) == pytest.approx(each.probability)
