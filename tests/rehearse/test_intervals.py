import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, binomtest

from handsfree.rehearse.intervals import Count, Verdict, interval, runs_needed, verdict

COUNTS = st.integers(1, 5_000).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))


@given(COUNTS)
def test_the_limits_are_those_of_scipy(count: tuple[int, int]) -> None:
    times, of = count
    known = binomtest(times, of).proportion_ci(confidence_level=0.95, method="exact")
    ours = interval(times, of)
    assert (ours.low, ours.high) == pytest.approx((known.low, known.high), abs=1e-9)


@given(COUNTS)
def test_at_each_limit_a_count_so_far_off_is_seen_once_in_forty(count: tuple[int, int]) -> None:
    """The definition: 2.5 % of the binomial distribution lies beyond the count, at either limit."""
    times, of = count
    limits = interval(times, of)
    if times:
        assert binom.sf(times - 1, of, limits.low) == pytest.approx(0.025, abs=1e-6)
    if times < of:
        assert binom.cdf(times, of, limits.high) == pytest.approx(0.025, abs=1e-6)


def test_the_interval_holds_the_known_rate_of_at_least_94_in_100_simulated_tasks() -> None:
    rng = np.random.default_rng(2026)
    inside = 0
    for _ in range(1_000):
        rate = 10 ** rng.uniform(-4, 0)
        runs = int(rng.integers(20, 2_000))
        limits = interval(int(rng.binomial(runs, rate)), runs)
        inside += limits.low <= rate <= limits.high
    assert inside >= 940


def test_nothing_seen_in_no_runs_says_nothing() -> None:
    assert (Count(0, 0).interval.low, Count(0, 0).interval.high) == (0.0, 1.0)
    assert Count(0, 0).rate == 0.0


@pytest.mark.parametrize(("times", "of"), [(-1, 5), (6, 5), (1, 0)])
def test_more_than_all_runs_cannot_be(times: int, of: int) -> None:
    with pytest.raises(ValueError, match=f"{times} of {of} runs cannot be"):
        Count(times, of)


def test_a_bound_holds_does_not_hold_or_needs_more_runs() -> None:
    assert verdict(interval(0, 5_000), 0.001) is Verdict.HOLDS
    assert verdict(interval(20, 5_000), 0.001) is Verdict.DOES_NOT_HOLD
    assert verdict(interval(0, 500), 0.001) is Verdict.TOO_FEW
    assert verdict(interval(0, 0), 0.001) is Verdict.TOO_FEW


def test_none_wrong_in_3688_runs_shows_less_than_one_in_a_thousand() -> None:
    """(1 - 0.001) ** n falls to 0.025 between n = 3687 and 3688; by hand."""
    assert 0.999**3_688 < 0.025 < 0.999**3_687
    assert runs_needed(0.001) == 3_688


@given(st.floats(1e-4, 0.9), st.integers(0, 20))
def test_as_many_runs_as_are_needed_show_it_and_one_fewer_do_not(below: float, times: int) -> None:
    needed = runs_needed(below, times)
    assert interval(times, needed).high < below
    assert needed == times + 1 or interval(times, needed - 1).high >= below


@pytest.mark.parametrize("below", [0, 1, -0.1])
def test_no_number_of_runs_shows_what_is_no_rate(below: float) -> None:
    with pytest.raises(ValueError, match="a rate lies between 0 and 1"):
        runs_needed(below)
