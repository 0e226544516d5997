"""The policy: what is acted on, read back or asked again is what costs least."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.trust import (
    AFFIRMED_UNHEARD,
    CRITICAL_VALUE_AT,
    PHRASE,
    PHRASE_AT,
    READ_BACK,
    STATE,
    VALUE_AT,
    WRONG_CRITICAL_VALUE,
    WRONG_PHRASE,
    WRONG_STATE,
    WRONG_VALUE,
    Stakes,
    Thresholds,
    Trust,
    trust,
)
from handsfree.words.meanings import (
    Ambiguous,
    Confirmed,
    Identified,
    NotUnderstood,
    Parse,
    Spoke,
    Stated,
    Understood,
)
from handsfree.words.standard import StandardWord

VALUE = Understood(Stated("2950"))
PHRASE_SAID = Understood(Confirmed("pin fitted"))
WORD = Understood(Spoke(StandardWord.AFFIRM))
PARSES = st.sampled_from(
    [VALUE, Understood(Identified("K1")), PHRASE_SAID, WORD, Ambiguous("?"), NotUnderstood(("x",))]
)
STAKES = st.builds(Stakes, st.booleans(), st.booleans())
PROBABILITY = st.fractions(0, 1, max_denominator=10_000)


def costs(right: Fraction, wrong: int) -> dict[Trust, Fraction]:
    """What each decision costs on average, in units of one needless "say again"."""
    return {
        Trust.ACT: (1 - right) * wrong,
        Trust.READ_BACK: READ_BACK + (1 - right) * AFFIRMED_UNHEARD * wrong,
        Trust.ASK_AGAIN: right,
    }


@pytest.mark.parametrize(("wrong", "thresholds"), [(WRONG_PHRASE, PHRASE), (WRONG_STATE, STATE)])
@given(right=PROBABILITY)
def test_the_cheapest_decision_is_taken(
    wrong: int, thresholds: Thresholds, right: Fraction
) -> None:
    decided = (
        Trust.ACT
        if right >= thresholds.act_from
        else Trust.READ_BACK
        if right >= thresholds.read_back_from
        else Trust.ASK_AGAIN
    )
    each = costs(right, wrong)
    assert each[decided] <= min(each.values()) + Fraction(1, 10**9)


@given(PROBABILITY)
def test_a_value_is_taken_where_its_read_back_costs_less_than_asking(right: Fraction) -> None:
    """Every value is read back, so that exchange is spent in any case."""
    for wrong, least in ((WRONG_VALUE, VALUE_AT), (WRONG_CRITICAL_VALUE, CRITICAL_VALUE_AT)):
        read_back = (1 - right) * AFFIRMED_UNHEARD * wrong
        if abs(read_back - right) > Fraction(1, 10**9):
            assert (right >= least) == (read_back < right)


def test_the_costs_give_the_thresholds_that_were_checked_on_the_tuning_half() -> None:
    assert (VALUE_AT, PHRASE_AT) == (0.9, 0.8)


@pytest.mark.parametrize(
    ("parsed", "stakes", "score", "expected"),
    [
        (VALUE, Stakes(), 0.9, Trust.ACT),
        (VALUE, Stakes(), 0.89, Trust.ASK_AGAIN),
        (VALUE, Stakes(critical=True), 0.94, Trust.ASK_AGAIN),
        (VALUE, Stakes(critical=True), 0.95, Trust.ACT),
        (PHRASE_SAID, Stakes(), 0.8, Trust.ACT),
        (PHRASE_SAID, Stakes(), 0.79, Trust.ASK_AGAIN),
        (PHRASE_SAID, Stakes(confusable=True), 0.91, Trust.ASK_AGAIN),
        (PHRASE_SAID, Stakes(confusable=True), 0.92, Trust.READ_BACK),
        (PHRASE_SAID, Stakes(critical=True), 0.95, Trust.READ_BACK),
        (PHRASE_SAID, Stakes(confusable=True), 0.96, Trust.ACT),
        (WORD, Stakes(critical=True), 0.8, Trust.ACT),
        (WORD, Stakes(confusable=True), 0.95, Trust.ASK_AGAIN),
        (NotUnderstood(("x",)), Stakes(), 1.0, Trust.ASK_AGAIN),
    ],
)
def test_what_a_hearing_is_good_for(
    parsed: Parse, stakes: Stakes, score: float, expected: Trust
) -> None:
    assert trust(score, parsed, stakes) is expected


_MORE = {Trust.ASK_AGAIN: 0, Trust.READ_BACK: 1, Trust.ACT: 2}


@given(PARSES, STAKES, st.floats(0, 1), st.floats(0, 1))
def test_a_surer_hearing_is_never_trusted_less(
    parsed: Parse, stakes: Stakes, one: float, other: float
) -> None:
    low, high = sorted((one, other))
    assert _MORE[trust(low, parsed, stakes)] <= _MORE[trust(high, parsed, stakes)]


@given(PARSES, STAKES, st.floats(0, 1))
def test_higher_stakes_never_make_a_hearing_more_trusted(
    parsed: Parse, stakes: Stakes, score: float
) -> None:
    assert _MORE[trust(score, parsed, stakes)] <= _MORE[trust(score, parsed, Stakes())]
