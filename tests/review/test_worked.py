"""Worked limits: three sample readings, numbers on the scale of the gauge, nothing hidden."""

import math
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

import numpy as np
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from handsfree.review.worked import Earlier, Worked, worked
from handsfree.task.expectations import OtherScale, ReadingExpected
from handsfree.task.file_model import FileModel
from handsfree.task.limits.forms import Bounds, FixedLimits, Limits, TableLimits, TableRow
from tests.task.limits_of import limits_of, task_of


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
        over([(0, 101, 109), (10, 101, 109)], 0, 10).rows[0].allowed
        == "no reading on this scale in psi"
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


def worked_last(*steps: str) -> Worked:
    """The limits of the last of these steps; each is "name quantity unit limits"."""
    task = task_of(*steps)
    readings = [step.expect for step in task.steps]
    assert all(isinstance(each, ReadingExpected) for each in readings)
    earlier = {
        step.id: Earlier(number, step.expect)
        for number, step in enumerate(task.steps, 1)
        if isinstance(step.expect, ReadingExpected)
    }
    last = task.steps[-1]
    assert isinstance(last.expect, ReadingExpected)
    del earlier[last.id]
    return worked(last.expect.limits, last.expect, earlier)


def rows_of(shown: Worked) -> list[tuple[str, str]]:
    return [(row.at, row.allowed) for row in shown.rows]


def test_a_gas_is_worked_out_at_the_ends_and_the_middle_of_its_temperature() -> None:
    """Reference: CoolProp, nitrogen, at the density that 2914.7 and 3114.7 psi have at 70 degF."""
    shown = worked_last(
        "warm temperature degC {min: -10, max: 45}",
        "charge pressure psi {gas: nitrogen, over: warm, over_unit: degC, scale: psi gauge, "
        "fill: {at: 70 degF, min: 2900 psi, max: 3100 psi}}",
    )
    assert shown.rule == (
        "the pressure, in psi gauge, that a charge of nitrogen, 2900 to 3100 psi gauge at 70 degF, "
        "has at the temperature of step 1 (real gas of constant density; air at 1.01325 bar)"
    )
    air, psi = 101325.0, 6894.757293168361
    for (at, allowed), warm in zip(rows_of(shown), (-10, 17, 45), strict=True):
        assert at == f"{warm} degC"
        low, _, high, _ = allowed.split()
        for figure, charge, rounded in ((low, 2900, math.ceil), (high, 3100, math.floor)):
            density = PropsSI("D", "T", 294.2611111, "P", charge * psi + air, "Nitrogen")
            exact = (PropsSI("P", "T", warm + 273.15, "D", density, "Nitrogen") - air) / psi
            assert abs(int(figure) - rounded(exact)) <= 1  # the gas is within 0.01 %


def test_a_charge_above_vacuum_needs_no_air() -> None:
    shown = worked_last(
        "warm temperature degC {min: 0, max: 40}",
        "charge pressure bar {gas: nitrogen, over: warm, over_unit: degC, scale: bar absolute, "
        "fill: {at: 20 degC, max: 70 bar}}",
    )
    assert shown.rule == (
        "the pressure, in bar absolute, that a charge of nitrogen, at most 70 bar absolute at "
        "20 degC, has at the temperature of step 1 (real gas of constant density)"
    )


def test_a_wrench_is_worked_out_with_its_extension() -> None:
    """TM 9-254, fig. 4-5: wrench 12 in, extension 2 in, 60 lbf.in set gives 70 at the fastener."""
    shown = worked_last(
        "nut torque lbf.in {torque: {min: 70 lbf.in, max: 77 lbf.in}, "
        "wrench: {min: 30 lbf.in, max: 200 lbf.in, lever: 12 in}, extension: {length: 2 in}}"
    )
    assert shown.rule == (
        "wrench setting for 70 to 77 lbf.in at the fastener; wrench of 30 to 200 lbf.in, used from "
        "40 lbf.in, which is 20 % of its scale; lever of 12 in, extension of 2 in at 0 degrees: "
        "the setting is 0.8571 of the torque; set it to 60 to 66 lbf.in"
    )
    assert shown.rows == ()


def test_a_run_down_torque_is_added_at_three_readings() -> None:
    def rows(*, with_extension: str) -> list[tuple[str, str]]:
        shown = worked_last(
            "run-down torque lbf.in {min: 0, max: 14}",
            "nut torque lbf.in {torque: {min: 70 lbf.in, max: 77 lbf.in}, "
            "wrench: {min: 30 lbf.in, max: 200 lbf.in, lever: 12 in}, extension: {length: 2 in}, "
            f"prevailing: {{over: run-down, with_extension: {with_extension}}}}}",
        )
        measured = "with the extension" if with_extension == "true" else "without an extension"
        assert f"the torque of step 1, measured {measured}, is added" in shown.rule
        return rows_of(shown)

    assert rows(with_extension="true") == [
        ("0 lbf.in", "60 to 66 lbf.in"),
        ("7 lbf.in", "67 to 73 lbf.in"),
        ("14 lbf.in", "74 to 80 lbf.in"),
    ]
    assert rows(with_extension="false") == [  # (70 to 77 + 14) * 12 / 14 = 72 to 78
        ("0 lbf.in", "60 to 66 lbf.in"),
        ("7 lbf.in", "66 to 72 lbf.in"),
        ("14 lbf.in", "72 to 78 lbf.in"),
    ]


def test_readings_that_are_put_together_are_worked_out_together() -> None:
    first, second = "a length mm {min: 10, max: 20}", "b length mm {of: {sum: [this, a]}, max: 40}"
    less = worked_last(first, "b length mm {of: {difference: [a, this]}, min: 1, max: 3}")
    assert less.rule == "the length of step 1 less this reading: 1 to 3 mm"
    assert rows_of(less)[0] == ("10 mm", "7 to 9 mm")
    total = worked_last(first, second)
    assert total.rule == "this reading and the length of step 1 together: at most 40 mm"
    assert rows_of(total)[2] == ("20 mm", "at most 20 mm")
    even = worked_last(
        first,
        "b length mm {of: {spread: [this, a]}, max: 4}",
        "c length mm {of: {spread: [this, a, b]}, max: 4}",
    )
    assert even.rule == (
        "this reading and the length of step 1 and the length of step 2 differ by at most 4 mm, "
        "the highest less the lowest"
    )
    # The lowest that b can be beside the lowest a, and so on: 6 beside 10, 24 beside 20.
    assert rows_of(even) == [
        ("10 mm in step 1, 6 mm in step 2", "6 to 10 mm"),
        ("15 mm in step 1, 15 mm in step 2", "11 to 19 mm"),
        ("20 mm in step 1, 24 mm in step 2", "20 to 24 mm"),
    ]


def test_limits_are_shown_on_every_scale_of_the_gauge() -> None:
    limits = limits_of("{min: 100, max: 200}")
    gauge = reading(limits, "psi", "pressure").model_copy(
        update={"other_scales": (OtherScale(unit="bar", resolution=Decimal("0.5")),)}
    )
    # NIST SP 811, appendix B: 1 psi is 0.068 947 57 bar: 6.89 to 13.79 bar.
    assert worked(limits, gauge, {}).rule == "100 to 200 psi; or 7.0 to 13.5 bar"


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
