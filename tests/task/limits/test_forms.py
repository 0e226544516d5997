"""Limits: exact comparison, and interpolation against a reference library."""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from handsfree.task.limits.forms import Limits, Verdict

TABLE = {
    "over": "temperature",
    "table": [
        {"at": "-20", "min": "2500", "max": "2800"},
        {"at": "10", "min": "2700", "max": "3000"},
        {"at": "50", "min": "3000", "max": "3333"},
    ],
}


def limits(value: object) -> Limits:
    return TypeAdapter[Limits](Limits).validate_python(value)


def verdict(value: str, low: str, high: str) -> Verdict:
    return limits({"min": low, "max": high}).bounds({}).verdict(Decimal(value))


def test_a_value_at_the_limit_is_inside() -> None:
    assert verdict("2.5", "2.5", "3") is Verdict.INSIDE
    assert verdict("3", "2.5", "3") is Verdict.INSIDE


def test_the_smallest_step_beyond_a_limit_is_outside() -> None:
    assert verdict("2.4999999999999999999", "2.5", "3") is Verdict.BELOW
    assert verdict("3.0000000000000000001", "2.5", "3") is Verdict.ABOVE


@given(st.integers(-20, 50))
def test_a_table_is_linear_between_its_rows(at: int) -> None:
    """Reference library: numpy.interp."""
    bounds = limits(TABLE).bounds({"temperature": Decimal(at)})
    rows = [-20, 10, 50]
    assert bounds.lowest is not None
    assert bounds.highest is not None
    assert float(bounds.lowest) == pytest.approx(np.interp(at, rows, [2500, 2700, 3000]))
    assert float(bounds.highest) == pytest.approx(np.interp(at, rows, [2800, 3000, 3333]))


@pytest.mark.parametrize("at", ["-20.1", "50.1"])
def test_there_are_no_limits_outside_the_table(at: str) -> None:
    with pytest.raises(ValueError, match=rf"^{at} is outside the table, -20 to 50$"):
        limits(TABLE).bounds({"temperature": Decimal(at)})


def test_spoken_limits_are_on_the_scale_and_inside() -> None:
    """At 0 degrees the exact limits are 2633 1/3 and 2933 1/3; a scale of 10 shows 2640 to 2930."""
    bounds = limits(TABLE).bounds({"temperature": Decimal(0)})
    assert bounds.lowest_readable(Decimal(10)) == 2640
    assert bounds.highest_readable(Decimal(10)) == 2930


@given(
    st.decimals(min_value=-1000, max_value=1000, places=3),
    st.sampled_from(["0.05", "0.1", "0.5", "1", "10"]),
)
def test_a_spoken_limit_is_the_last_readable_value_inside(bound: Decimal, resolution: str) -> None:
    scale = Decimal(resolution)
    bounds = limits({"min": bound, "max": bound}).bounds({})
    low, high = bounds.lowest_readable(scale), bounds.highest_readable(scale)
    assert low is not None
    assert high is not None
    assert low - scale < bound <= low
    assert high <= bound < high + scale
