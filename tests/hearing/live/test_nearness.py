"""A far talker, and a microphone that has slipped."""

import math

from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.live.nearness import FARTHER_DB, Nearness


def test_the_first_voice_is_near() -> None:
    assert Nearness().is_near(-60)


def test_a_voice_from_a_metre_is_far_where_the_microphone_is_at_10_cm() -> None:
    """Inverse distance law: 20 lg(100 cm / 10 cm) = 20 dB."""
    assert not Nearness(-25).is_near(-25 - 20 * math.log10(100 / 10))


def test_a_soft_word_of_the_same_person_is_near() -> None:
    assert Nearness(-25).is_near(-25 - 10)


@given(st.floats(-50, -10), st.floats(-70, -20))
def test_nobody_is_shut_out_for_good(usual: float, level: float) -> None:
    nearness = Nearness(usual)
    for _ in range(20):
        if nearness.is_near(level):
            return
        nearness = nearness.after(level)
    raise AssertionError("shut out")


def test_silence_changes_nothing() -> None:
    assert Nearness(-25).after(-math.inf) == Nearness(-25)


@given(st.floats(-50, -10), st.floats(-FARTHER_DB + 1, FARTHER_DB))
def test_the_usual_level_follows_the_person(usual: float, change: float) -> None:
    after = Nearness(usual).after(usual + change).usual_dbfs
    assert after is not None
    assert min(usual, usual + change) - 1e-9 <= after <= max(usual, usual + change) + 1e-9
