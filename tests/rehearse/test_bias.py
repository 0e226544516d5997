"""The difference between people and synthetic voices, and how it widens what is reported."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from handsfree.rehearse import bias
from handsfree.rehearse.bias import AtRatio, Bias, Heard, difference, hybrid, measured_bias, widened
from handsfree.rehearse.intervals import Count, Interval

COUNTS = st.integers(1, 900).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))


@pytest.mark.parametrize(
    ("one", "other", "low", "high"),
    [((56, 70), (48, 80), 0.0524, 0.3339), ((9, 10), (3, 10), 0.1705, 0.8090)],
)
def test_of_wilson_intervals_the_hybrid_is_the_published_one(
    one: tuple[int, int], other: tuple[int, int], low: float, high: float
) -> None:
    """Newcombe 1998, table II, method 10, examples (a) and (b), from memory."""
    mine, yours = (binomtest(*each).proportion_ci(method="wilson") for each in (one, other))
    found = hybrid(
        one[0] / one[1],
        Interval(mine.low, mine.high),
        other[0] / other[1],
        Interval(yours.low, yours.high),
    )
    assert (found.low, found.high) == pytest.approx((low, high), abs=5e-5)


@given(COUNTS, COUNTS)
def test_ours_holds_the_observed_difference_and_turns_with_its_sides(
    one: tuple[int, int], other: tuple[int, int]
) -> None:
    found, turned = difference(Count(*one), Count(*other)), difference(Count(*other), Count(*one))
    assert found.low <= one[0] / one[1] - other[0] / other[1] <= found.high
    assert (found.low, found.high) == pytest.approx((-turned.high, -turned.low))


def table(monkeypatch: pytest.MonkeyPatch, *rows: AtRatio) -> None:
    made = Bias(made_with="-", made_on="2026-11-29", speech="people", at=rows)  # type: ignore[arg-type]
    monkeypatch.setattr(bias, "measured_bias", lambda: made)


WORSE = AtRatio(
    snr_db=10, people=Heard(of=400, asked=80, wrong=8), voices=Heard(of=400, asked=40, wrong=0)
)


def test_people_who_are_heard_worse_raise_the_upper_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    table(monkeypatch, WORSE)
    count = Count(0, 500)
    wide = widened(count, "wrong", 10)
    assert wide.high == pytest.approx(count.interval.high + WORSE.difference("wrong").high)
    assert wide.high > count.interval.high
    assert wide.low == 0.0


@given(COUNTS)
def test_an_interval_never_becomes_narrower(count: tuple[int, int]) -> None:
    limits = Count(*count).interval
    wide = widened(Count(*count), "asked", 10.0)
    assert 0 <= wide.low <= limits.low
    assert limits.high <= wide.high <= 1


def test_where_nothing_was_measured_nothing_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    nobody = Heard(of=0, asked=0, wrong=0)
    table(monkeypatch, AtRatio(snr_db=10, people=nobody, voices=nobody))
    assert widened(Count(0, 5_000), "wrong", 10) == Interval(0.0, 1.0)


def test_in_between_the_noisier_row_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [WORSE.model_copy(update={"snr_db": each}) for each in (20.0, 10.0, 5.0)]
    table(monkeypatch, *rows)
    found = Bias(made_with="-", made_on="2026-11-29", speech="-", at=tuple(rows))  # type: ignore[arg-type]
    counts = [found.nearest(each) for each in (30, 20, 15, 10, 7, 5)]
    assert [each and each.snr_db for each in counts] == [20, 20, 10, 10, 5, 5]


def test_in_more_noise_than_people_were_measured_in_nothing_is_known_of_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The difference grows with the noise, so that of a clearer ratio would be too small."""
    table(monkeypatch, WORSE)
    assert widened(Count(0, 5_000), "wrong", 9.9) == Interval(0.0, 1.0)
    assert widened(Count(0, 5_000), "wrong", 10) != Interval(0.0, 1.0)


def test_people_outside_what_the_voices_foretold_are_told() -> None:
    assert WORSE.outside == ("asked", "wrong")
    alike = WORSE.model_copy(update={"people": Heard(of=400, asked=41, wrong=2)})
    assert alike.outside == ()


def test_the_table_that_comes_with_handsfree_can_be_read() -> None:
    assert measured_bias().at
