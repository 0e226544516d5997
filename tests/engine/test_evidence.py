"""What several hearings of one question are worth together."""

from itertools import pairwise

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from handsfree.engine.evidence import (
    SAME_CAUSE,
    SAME_CAUSE_IN_ANOTHER_FORM,
    Saying,
    agrees,
    belief,
)
from handsfree.engine.trust import CRITICAL_VALUE_AT, VALUE_AT
from handsfree.words.meanings import BySecond, Confirmed, Identified, Meaning, Stated

GAUGE, OTHER, THIRD = Stated("2950"), Stated("2960"), Stated("2970")
SCORES = st.floats(0, 1)
SAYINGS = st.lists(
    st.builds(Saying, st.sampled_from([GAUGE, OTHER, THIRD]), SCORES, st.integers(0, 1)), max_size=5
)


def said(*scores: float, meaning: Meaning = GAUGE, forms: tuple[int, ...] = ()) -> list[Saying]:
    return [Saying(meaning, score, forms[at] if forms else 0) for at, score in enumerate(scores)]


@given(st.floats(0, 0.9999))
def test_one_saying_is_worth_its_score(score: float) -> None:
    assert belief(said(score), GAUGE) == pytest.approx(score, abs=1e-6)


def test_what_was_never_heard_is_not_believed() -> None:
    assert belief(said(0.9), OTHER) == 0


def test_the_same_heard_twice_is_likelier_than_once() -> None:
    """By hand, with B = 0.55 and C = 0.1: (0.44 + 0.288) / (0.728 + 0.11 + 0.0018)."""
    assert belief(said(0.8, 0.8), GAUGE) == pytest.approx(0.728 / 0.8398, abs=1e-4)
    assert belief(said(0.85, 0.85), GAUGE) > VALUE_AT > belief(said(0.85), GAUGE)


def test_said_in_another_form_it_is_worth_more() -> None:
    """By hand, with B = 0.3: (0.24 + 0.448) / (0.688 + 0.06 + 0.0028)."""
    assert belief(said(0.8, 0.8, forms=(0, 1)), GAUGE) == pytest.approx(0.688 / 0.7508, abs=1e-4)
    assert SAME_CAUSE_IN_ANOTHER_FORM < SAME_CAUSE


@pytest.mark.parametrize("times", range(1, 50))
def test_no_number_of_poor_hearings_makes_a_value_believed(times: int) -> None:
    """A sound that is always taken for another word stays wrong however often it is said."""
    assert belief(said(*[0.5] * times), GAUGE) < VALUE_AT


@given(st.lists(st.floats(0, 0.8), min_size=1, max_size=8), st.integers(0, 1))
def test_agreeing_below_four_fifths_never_makes_a_critical_value_believed(
    scores: list[float], form: int
) -> None:
    assert belief(said(*scores, forms=(form,) * len(scores)), GAUGE) < CRITICAL_VALUE_AT


@given(SAYINGS, SCORES, st.integers(0, 1))
def test_a_saying_that_agrees_never_takes_belief_away(
    sayings: list[Saying], score: float, form: int
) -> None:
    more = [*sayings, Saying(GAUGE, score, form)]
    assert belief(more, GAUGE) >= belief(sayings, GAUGE) - 1e-12


@given(SAYINGS, SCORES, st.integers(0, 1))
@example(
    sayings=[Saying(GAUGE, 1.0, 0), Saying(OTHER, 0.5, 1), Saying(OTHER, 0.3125, 0)],
    score=0.375,
    form=1,
)
def test_a_saying_that_differs_never_adds_belief(
    sayings: list[Saying], score: float, form: int
) -> None:
    more = [*sayings, Saying(OTHER, score, form)]
    assert belief(more, GAUGE) <= belief(sayings, GAUGE) + 1e-12


@given(SAYINGS)
def test_all_meanings_together_are_at_most_certain(sayings: list[Saying]) -> None:
    assert sum(belief(sayings, each) for each in (GAUGE, OTHER, THIRD)) <= 1 + 1e-9


def test_two_that_differ_leave_less_of_each() -> None:
    """By hand: odds 19 and 17 / 3, so 19 / (1 + 19 + 17 / 3)."""
    both = [*said(0.95), *said(0.85, meaning=OTHER)]
    assert belief(both, GAUGE) == pytest.approx(19 / (1 + 19 + 17 / 3))
    assert belief(both, GAUGE) < VALUE_AT


@given(st.lists(SCORES, min_size=1, max_size=6))
def test_the_order_of_the_sayings_does_not_matter(scores: list[float]) -> None:
    assert belief(said(*scores), GAUGE) == belief(said(*reversed(scores)), GAUGE)


def test_belief_grows_with_each_score() -> None:
    beliefs = [belief(said(0.7, each / 20), GAUGE) for each in range(20)]
    assert all(low <= high for low, high in pairwise(beliefs))
    assert all(low < high for low, high in pairwise(beliefs[10:]))  # from a half on


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (Stated("2950"), Stated("2950", "psi", corrects=True), True),
        (Stated("2950", "bar"), Stated("2950", "psi"), False),
        (Stated("0293"), Stated("293"), False),
        (Identified("K47"), Identified("K47", replaces=("K4",)), True),
        (Confirmed("pin fitted"), Confirmed("pin removed"), False),
        (BySecond(Stated("2950")), BySecond(Stated("2950", "psi")), True),
        (BySecond(Stated("2950")), Stated("2950"), False),
    ],
)
def test_which_sayings_mean_the_same(one: Meaning, other: Meaning, same: bool) -> None:
    assert agrees(one, other) is same
