"""Worked limits: three sample readings, numbers on the scale of the gauge, nothing hidden."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from handsfree.review.worked import Earlier, Worked, worked
from handsfree.task.file_model import FileModel
from handsfree.task.limits import Bounds, FixedLimits, Limits, TableLimits, TableRow
from handsfree.task.model import ReadingExpected


def reading(limits: Limits, unit: str, quantity: str, resolution: str = "1") -> ReadingExpected:
    return ReadingExpected(
        reading=quantity, unit=unit, resolution=Decimal(resolution), limits=limits
    )


def over(rows: list[tuple[int, int, int]], low: int | None, high: int | None) -> Worked:
    fixed = FixedLimits.model_validate({"min": low, "max": high})
    table = TableLimits(
        over="cold",
        table=tuple(
            TableRow(at=Decimal(at), min=Decimal(lo), max=Decimal(hi)) for at, lo, hi in rows
        ),
    )
    earlier = {"cold": Earlier(3, reading(fixed, "degC", "temperature"))}
    return worked(table, reading(table, "psi", "pressure", "10"), earlier)


def test_a_table_is_worked_out_at_the_lowest_middle_and_highest_of_the_other_reading() -> None:
    shown = over([(-20, 2000, 2200), (0, 2200, 2400), (60, 2800, 3000)], -10, 40)
    assert [row.at for row in shown.rows] == ["-10 degC", "15 degC", "40 degC"]
    assert [row.allowed for row in shown.rows] == [
        "2100 to 2300 psi",
        "2350 to 2550 psi",
        "2600 to 2800 psi",
    ]
    assert shown.rule == (
        "by the temperature of step 3, linear between table rows from -20 to 60 degC"
    )


def test_an_open_range_is_worked_out_at_the_ends_of_the_table() -> None:
    shown = over([(0, 100, 200), (10, 200, 300)], 2, None)
    assert [row.at for row in shown.rows] == ["2 degC", "6 degC", "10 degC"]


def test_a_window_that_no_value_of_the_scale_meets_is_said() -> None:
    assert (
        over([(0, 101, 109), (10, 101, 109)], 0, 10).rows[0].allowed == "no reading on this scale"
    )


@given(
    st.lists(st.integers(-60, 80), min_size=2, max_size=6, unique=True).map(sorted),
    st.data(),
)
def test_worked_numbers_agree_with_numpy_interp(ats: list[int], data: st.DataObject) -> None:
    """Reference: numpy.interp; rounded inward to the scale, which is checked exactly."""
    lows = [data.draw(st.integers(1000, 2000)) for _ in ats]
    rows = [(at, low, low + 500) for at, low in zip(ats, lows, strict=True)]
    for row in over(rows, ats[0], ats[-1]).rows:
        at = float(row.at.split()[0])
        low, _, high, _ = row.allowed.split()
        exact = float(np.interp(at, ats, lows))
        assert exact - 1e-6 <= int(low) < exact + 10
        assert exact + 490 < int(high) <= exact + 500 + 1e-6


def test_fixed_limits_are_shown_as_they_are_written() -> None:
    def rule(low: str | None, high: str | None, unit: str, quantity: str) -> str:
        limits = FixedLimits(
            min=None if low is None else Decimal(low), max=None if high is None else Decimal(high)
        )
        return worked(limits, reading(limits, unit, quantity), {}).rule

    assert rule("0.20", "0.80", "mm", "length") == "0.20 to 0.80 mm"
    assert rule(None, "5", "V", "voltage") == "at most 5 V"
    assert rule("5", None, "V", "voltage") == "at least 5 V"
    assert rule("6", "6", "each", "count") == "exactly 6"


class Doubled(FileModel):
    """A kind of limits that the sheet does not know: at least twice an earlier reading."""

    over: str
    more: Decimal = Decimal(0)

    @property
    def earlier(self) -> tuple[str, ...]:
        return (self.over,)

    def bounds(self, readings: Mapping[str, Decimal]) -> Bounds:
        if readings[self.over] < 0:
            raise ValueError("frozen")
        return Bounds(2 * Fraction(readings[self.over]), None)


def doubled(low: int, high: int | None, *, over: str = "cold") -> Worked:
    fixed = FixedLimits.model_validate({"min": low, "max": high})
    earlier = {"cold": Earlier(3, reading(fixed, "degC", "temperature"))}
    limits = Doubled(over=over, more=Decimal("1.50"))
    return worked(limits, reading(fixed, "psi", "pressure", "10"), earlier)


def test_a_kind_that_nobody_registered_is_shown_by_its_keys_and_worked_out() -> None:
    shown = doubled(-10, 42)
    assert shown.rule == "over cold, more 1.50"
    assert [(row.at, row.allowed) for row in shown.rows] == [
        ("-10 degC", "none: frozen"),
        ("16 degC", "at least 40 psi"),
        ("42 degC", "at least 90 psi"),
    ]


def test_a_reading_without_an_end_is_not_sampled() -> None:
    assert doubled(0, None).rows == ()
    assert doubled(0, 1, over="nobody").rows == ()
