"""Wrench settings against published examples, and what a wrench cannot do."""

import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.task.limits.forms import Bounds, NoLimits, Verdict, worked
from handsfree.task.limits.torque import cosine, wrench_setting
from tests.task.limits_of import complaint_about, complaints_of, limits_of

BOLT = """\
torque: {min: 280 lbf.in, max: 308 lbf.in}
wrench: {min: 30 lbf.in, max: 300 lbf.in, lever: 10 in}
extension: {length: 4 in}
"""
RUN_DOWN = "prevailing: {over: run-down, with_extension: true}\n"


@pytest.mark.parametrize(
    ("torque", "lever", "extension", "degrees", "setting", "source"),
    [
        (70, 12, 2, 0, 60, "US Army TM 9-254, figure 4-5"),
        (300, 10, 4, 0, 214, "US Army TM 1-1500-204-23-9, figure 8-16"),
        (40, 12, 4, 0, 30, "US Army TM 9-2350-261-20-1, p. 2-29"),
        (100, 12, 6, 0, 66.7, "US Navy NAVEDTRA 14315, figure 3-45; the setting is worked here"),
        (50, 16, 2, 0, 44.44, "manual of a torque wrench, M199, page 7"),
        (100, 12, 6, 90, 100, "US Navy NAVEDTRA 14008: at a right angle nothing changes"),
        (100, 12, 6, 180, 200, "US Army TM 1-1500-204-23-9, figure 8-17: subtract the length"),
    ],
)
def test_a_setting_is_the_published_one(
    torque: int, lever: int, extension: int, degrees: int, setting: float, source: str
) -> None:
    reach = extension * cosine(Decimal(degrees))
    here = wrench_setting(Fraction(torque), Fraction(lever), reach)
    assert float(here) == pytest.approx(setting, rel=0.002), source


@given(st.decimals(0, 180, places=2))
def test_the_cosine_is_that_of_the_reference_library(degrees: Decimal) -> None:
    """Reference: the C library, through math.cos."""
    assert float(cosine(degrees)) == pytest.approx(math.cos(math.radians(degrees)), abs=1e-14)


@pytest.mark.parametrize(
    ("degrees", "exact"), [(0, 1), (60, Fraction(1, 2)), (90, 0), (120, Fraction(-1, 2)), (180, -1)]
)
def test_the_cosine_is_exact_where_it_is_a_plain_number(degrees: int, exact: Fraction) -> None:
    assert cosine(Decimal(degrees)) == exact


@given(st.integers(1, 10_000), st.integers(1, 100), st.integers(1, 100), st.integers(0, 90))
def test_the_setting_on_the_longer_lever_gives_the_torque_back(
    torque: int, lever: int, extension: int, degrees: int
) -> None:
    reach = extension * cosine(Decimal(degrees))
    setting = wrench_setting(Fraction(torque), Fraction(lever), reach)
    force = setting / lever
    assert force * (lever + reach) == torque
    assert setting <= torque


def test_the_window_is_set_on_the_wrench() -> None:
    """280 and 308 times 10 / 14; both are inside."""
    bounds = worked(limits_of(BOLT), {})
    assert bounds == Bounds(Fraction(200), Fraction(220))
    assert bounds.verdict(Decimal(200)) is Verdict.INSIDE
    assert bounds.verdict(Decimal("199.999999")) is Verdict.BELOW
    assert bounds.verdict(Decimal(220)) is Verdict.INSIDE
    assert bounds.verdict(Decimal("220.000001")) is Verdict.ABOVE


def test_without_an_extension_the_setting_is_the_torque() -> None:
    bounds = worked(limits_of(BOLT.replace("extension: {length: 4 in}\n", "")), {})
    assert bounds == Bounds(Fraction(280), Fraction(300))  # 300 is full scale


def test_fastener_wrench_and_lengths_may_have_units_of_their_own() -> None:
    metric = limits_of(
        "torque: {min: 20 N.m, max: 22 N.m}\n"
        "wrench: {min: 0 lbf.in, max: 250 lbf.in, lever: 254 mm}\n"
        "extension: {length: 10 in}\n"
    )
    bounds = worked(metric, {})
    assert bounds.lowest is not None
    assert float(bounds.lowest) == pytest.approx(20 / 0.1129848 / 2, rel=1e-6)  # NIST SP 811, B.8


@pytest.mark.parametrize(
    ("with_extension", "low", "high"), [("true", 220, 240), ("false", 214, 234)]
)
def test_the_prevailing_torque_is_added(with_extension: str, low: int, high: int) -> None:
    """FAA AC 43.13-1B, 7-40 d: add the friction drag torque to the desired torque.

    20 as the wrench shows it: with the extension it is 28 at the nut and goes on the setting as it
    is; without, it is 20 at the nut, which the extension makes 14.29 on the wrench.
    """
    text = BOLT + RUN_DOWN.replace("true", with_extension)
    bounds = worked(limits_of(text), {"run-down": Decimal(20)})
    assert bounds.lowest is not None
    assert bounds.highest is not None
    assert round(bounds.lowest) == low
    assert round(bounds.highest) == high


@given(st.integers(0, 80), st.integers(0, 80))
def test_more_prevailing_torque_never_lowers_the_setting(one: int, other: int) -> None:
    limits = limits_of(BOLT + RUN_DOWN)
    less, more = (worked(limits, {"run-down": Decimal(f(one, other))}) for f in (min, max))
    assert less.lowest is not None
    assert more.lowest is not None
    assert less.lowest <= more.lowest


def test_only_settings_from_20_percent_of_full_scale_are_inside() -> None:
    """TM 1-1500-204-23-9, table 8-1: no accuracy is required from 0 to 20 percent of full scale."""
    text = "torque: {min: 8 N.m, max: 12 N.m}\nwrench: {min: 2 N.m, max: 50 N.m}"
    assert worked(limits_of(text), {}).lowest == 10
    text = text.replace("min: 2 N.m", "min: 11 N.m")
    assert worked(limits_of(text), {}).lowest == 11


def test_a_prevailing_torque_can_make_the_wrench_too_small() -> None:
    limits = limits_of(BOLT + RUN_DOWN)
    outside = "the setting, 301 to 321, is outside what this wrench is accurate for, "
    outside += "60 to 300 inch pounds"
    for readings, why in (
        ({"run-down": Decimal(101)}, outside),
        ({}, "the reading of run down is missing"),
        ({"run-down": Decimal(-1)}, "a prevailing torque of -1 is below zero"),
    ):
        with pytest.raises(NoLimits) as raised:
            worked(limits, readings)
        assert str(raised.value) == why
    assert worked(limits, {"run-down": Decimal(0)})


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("280 lbf.in", "0 lbf.in", "a torque of 0 lbf.in. Write a torque above zero"),
        ("280 lbf.in", "400 lbf.in", "the limits cross: min 400 lbf.in is above max 308 lbf.in."),
        ("min: 30", "min: 301", "a wrench from 301 lbf.in to 300 lbf.in. Write both ends"),
        ("min: 30 lbf.in", "min: 3 N.m", "a scale from N.m to lbf.in. Write both ends in the unit"),
        ("lever: 10 in", "lever: 0 in", "a lever of 0 in. Write a length above zero"),
        ("lever: 10 in", "lever: -1 in", "a lever of -1 in. Write a length above zero"),
        (", lever: 10 in", "", "an extension on a wrench without its lever. Write the length"),
        ("length: 4 in", "length: 0 in", "an extension of 0 in. Write a length above zero"),
        ("length: 4 in", "length: inf in", "'inf in' is not a length with its unit."),
        (
            "length: 4 in",
            "length: 10 in, angle: 180",
            "the extension of 10 in reaches back past the grip, 10 in away. Write a shorter",
        ),
        ("length: 4 in", "length: 4 in, angle: 181", "less than or equal to 180"),
        ("length: 4 in", "length: 4 in, angle: NaN", "finite number"),
        (
            "max: 300 lbf.in",
            "max: 150 lbf.in",
            "the setting, 200 to 220, is outside what this wrench is accurate for, 30 to 150 inch "
            "pounds. Name a wrench that fits the torque",
        ),
        (
            "max: 300 lbf.in",
            "max: 2000 lbf.in",
            "the setting, 200 to 220, is outside what this wrench is accurate for, 400 to 2000 ",
        ),
    ],
)
def test_a_wrench_that_cannot_be_is_refused(old: str, new: str, message: str) -> None:
    assert old in BOLT
    assert message in complaint_about(BOLT.replace(old, new, 1))


@pytest.mark.parametrize(
    ("steps", "line"),
    [
        (
            (f"bolt torque lbf.in {BOLT}{RUN_DOWN}",),
            "t.yaml:17:22: no earlier step 'run-down' takes a reading. Earlier readings: none yet",
        ),
        (
            ("run-down torque N.m {min: 0, max: 4}", f"bolt torque lbf.in {BOLT}{RUN_DOWN}"),
            "t.yaml:25:22: step 'run-down' reads in N.m, but here it must be lbf.in. "
            "Write one unit in both",
        ),
        (
            (f"bolt torque N.m {BOLT}",),
            "t.yaml:15:9: the limits are in lbf.in, but this reading is in N.m. "
            "Write both in the unit of the gauge or wrench",
        ),
        (
            ("run-down torque lbf.in {min: 0, max: 110}", f"bolt torque lbf.in {BOLT}{RUN_DOWN}"),
            "t.yaml:25:22: where 'run-down' is 110 there are no limits: the setting, 310 to 330, "
            "is outside what this wrench is accurate for, 60 to 300 inch pounds. "
            "Give 'run-down' a min and max within what is possible here",
        ),
    ],
)
def test_a_bolt_that_a_run_could_not_judge_is_refused(steps: tuple[str, ...], line: str) -> None:
    assert line in complaints_of(*steps)
