"""A number with its unit, and exact conversions."""

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from handsfree.task.limits.measured import Measured, PressureMeasured, from_si, to_si
from handsfree.words.units import UNITS as WORDS
from handsfree.words.units import convert, units_of

UNITS = ("psi", "bar", "kPa", "degC", "degF", "N.m", "lbf.in", "lbf.ft", "mm", "in")
SI = {"psi": "pascal", "bar": "pascal", "kPa": "pascal", "degC": "kelvin", "degF": "kelvin"}


def pressure(text: object) -> Measured:
    return TypeAdapter[Measured](PressureMeasured).validate_python(text)


@pytest.fixture(scope="module")
def registry() -> "pint.UnitRegistry[float]":
    return pint.UnitRegistry()


@pytest.mark.parametrize("unit", UNITS)
def test_units_are_converted_as_the_reference_library_does(
    unit: str, registry: "pint.UnitRegistry[float]"
) -> None:
    """Reference library pint."""
    si = SI.get(unit, "meter" if unit in ("mm", "in") else "newton * meter")
    there = registry.Quantity(12.5, WORDS[unit].pint_name or unit).to(si).magnitude
    assert float(to_si(Decimal("12.5"), unit)) == pytest.approx(there, rel=1e-12)


@pytest.mark.parametrize("unit", UNITS)
def test_limits_and_readings_are_converted_alike(unit: str) -> None:
    """Readings by the library pint, limits by a table that needs no library: to the last figure."""
    for other in units_of(WORDS[unit].quantity):
        value = Decimal("12.5")
        assert from_si(to_si(value, unit), other.symbol) == convert(value, unit, other.symbol)


def test_the_pound_per_square_inch_is_exact() -> None:
    """NIST SP 811, appendix B.8: 6.894 757 E+03 Pa; exactly 0.45359237 * 9.80665 / 0.0254^2."""
    assert to_si(Decimal(1), "psi") == Fraction(8896443230521, 1290320000)


def test_the_two_temperature_scales_meet_at_minus_forty() -> None:
    assert to_si(Decimal(-40), "degF") == to_si(Decimal(-40), "degC") == Fraction("233.15")


@given(st.decimals(-10_000, 10_000, places=3), st.sampled_from(UNITS))
def test_there_and_back_is_the_same_number(value: Decimal, unit: str) -> None:
    assert from_si(to_si(value, unit), unit) == Fraction(value)


def test_a_number_and_its_unit_are_kept_as_written() -> None:
    assert pressure("2900.50 psi") == Measured(Decimal("2900.50"), "psi")
    assert str(pressure("2900.50 psi")) == "2900.50 psi"


@pytest.mark.parametrize(
    "text",
    ["2900", "2900psi", "NaN psi", "inf psi", "1e9 psi", "2,900 psi", 2900, None, "", "٣ psi"],
)
def test_what_is_no_number_with_a_unit_is_refused(text: object) -> None:
    with pytest.raises(ValidationError) as caught:
        pressure(text)
    assert f"'{text}' is not a pressure with its unit. Write a plain number" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("20 degC", "degC measures temperature, and this must be a pressure. Write one of psi, "),
        ("20 atm", "atm is not a known unit, and this must be a pressure. Write one of psi, bar"),
    ],
)
def test_a_unit_that_does_not_fit_is_named(text: str, message: str) -> None:
    with pytest.raises(ValidationError) as caught:
        pressure(text)
    assert message in str(caught.value)
