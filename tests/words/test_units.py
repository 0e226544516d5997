"""Units measure what the table says, and convert as published: NIST SP 811 and the library pint."""

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.words.units import (
    QUANTITIES,
    UNITS,
    Unit,
    any_unit,
    conversion,
    convert,
    in_figures,
    said_as,
    speak_unit,
    units_of,
)

# One unit of each quantity as the SI has it (SI Brochure, 9th edition, tables 2 and 4).
SI_UNITS = {
    "pressure": "pascal",
    "temperature": "kelvin",
    "temperature difference": "kelvin",
    "torque": "newton * meter",
    "force": "newton",
    "length": "meter",
    "angle": "radian",
    "volume": "meter ** 3",
    "flow": "meter ** 3 / second",
    "drop rate": "1 / second",
    "percentage": "dimensionless",
    "time": "second",
    "voltage": "volt",
    "resistance": "ohm",
    "count": "dimensionless",
}
# NIST Special Publication 811 (2008), appendix B.8: "to convert from, to, multiply by", to the
# seven figures that the table gives; quoted from memory.
NIST_SP_811 = [
    ("lbf.in", "N.m", "0.1129848"),
    ("lbf.ft", "N.m", "1.355818"),
    ("psi", "kPa", "6.894757"),
    ("bar", "kPa", "100"),
    ("in", "mm", "25.4"),
    ("lbf", "N", "4.448222"),
    ("delta_degF", "delta_degC", "0.5555556"),
    ("gal", "L", "3.785412"),
    ("qt", "L", "0.9463529"),
    ("in3", "ml", "16.38706"),
    ("gal/min", "L/min", "3.785412"),
    ("min", "s", "60"),
    ("h", "s", "3600"),
    ("h", "min", "60"),
    ("L", "ml", "1000"),
    ("L/min", "ml/min", "1000"),
]
# The pound is 0.453 592 37 kg, the inch 25.4 mm, standard gravity 9.806 65 m/s2: all exact by
# definition (NIST SP 811, appendix B.8).
_POUND_FORCE = Fraction("0.45359237") * Fraction("9.80665")  # newtons
_INCH = Fraction("0.0254")  # metres


@pytest.fixture(scope="module")
def registry() -> "pint.UnitRegistry[float]":
    return pint.UnitRegistry()


@pytest.mark.parametrize("unit", UNITS.values(), ids=lambda unit: unit.symbol)
def test_every_unit_has_the_dimension_of_its_quantity(
    unit: Unit, registry: "pint.UnitRegistry[float]"
) -> None:
    """Reference library pint."""
    named = registry.Unit(unit.pint_name or unit.symbol)
    assert named.dimensionality == registry.Unit(SI_UNITS[unit.quantity]).dimensionality


def test_every_quantity_has_a_unit() -> None:
    assert set(SI_UNITS) == set(QUANTITIES)
    assert all(units_of(quantity) for quantity in QUANTITIES)


@pytest.mark.parametrize(("said", "wanted", "factor"), NIST_SP_811)
def test_factors_are_those_of_nist_sp_811(said: str, wanted: str, factor: str) -> None:
    places = Decimal(factor).as_tuple().exponent
    assert isinstance(places, int)
    assert round(convert(Decimal(1), said, wanted), -places) == Fraction(factor)


@pytest.mark.parametrize(
    ("said", "wanted", "exact"),
    [
        ("lbf", "N", _POUND_FORCE),
        ("lbf.in", "N.m", _POUND_FORCE * _INCH),
        ("lbf.ft", "lbf.in", Fraction(12)),
        (
            "psi",
            "kPa",
            _POUND_FORCE / _INCH**2 / 1000,
        ),
        (
            "bar",
            "psi",
            100_000 * _INCH**2 / Fraction("0.45359237") / Fraction("9.80665"),
        ),
        ("delta_degF", "delta_degC", Fraction(5, 9)),
        # A US gallon is 231 cubic inches by definition (NIST Handbook 44, appendix C, from memory).
        ("gal", "in3", Fraction(231)),
        ("gal", "qt", Fraction(4)),
    ],
)
def test_factors_are_exact(said: str, wanted: str, exact: Fraction) -> None:
    assert conversion(said, wanted) == (exact, Fraction(0))
    assert conversion(wanted, said) == (1 / exact, Fraction(0))


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [
        ("32", Fraction(0)),
        ("212", Fraction(100)),
        ("-40", Fraction(-40)),
        ("100", Fraction(340, 9)),
    ],
)
def test_a_temperature_has_another_zero_but_a_difference_has_not(
    fahrenheit: str, celsius: Fraction | int
) -> None:
    """NIST SP 811, appendix B.8: t/degC = (t/degF - 32) / 1.8; a difference is divided by 1.8."""
    value = Decimal(fahrenheit)
    assert convert(value, "degF", "degC") == celsius
    assert convert(value, "delta_degF", "delta_degC") == Fraction(value) * Fraction(10, 18)


@given(st.data(), st.decimals(-10_000, 10_000, places=3))
def test_a_value_converted_there_and_back_is_the_same(data: st.DataObject, value: Decimal) -> None:
    quantity = data.draw(st.sampled_from(QUANTITIES))
    symbols = st.sampled_from([unit.symbol for unit in units_of(quantity)])
    said, wanted = data.draw(symbols), data.draw(symbols)
    factor, offset = conversion(wanted, said)
    assert convert(value, said, wanted) * factor + offset == Fraction(value)


def test_another_quantity_is_never_converted() -> None:
    with pytest.raises(ValueError, match="bar measures pressure, degC temperature"):
        conversion("bar", "degC")
    with pytest.raises(ValueError, match="measures temperature, delta_degC temperature difference"):
        conversion("degC", "delta_degC")


def test_a_converted_value_is_exact_where_figures_can_be() -> None:
    assert in_figures(Fraction(127, 5)) == Decimal("25.4")
    assert in_figures(Fraction(1, 3)) == Decimal("0." + "3" * 28)


@pytest.mark.parametrize(
    ("own", "said", "meant"),
    [
        ("psi", "pounds", "psi"),
        ("lbf", "pounds", "lbf"),
        ("lbf.in", "pounds", "lbf"),  # another quantity: asked about
        ("lbf.in", "pound force inches", "lbf.in"),
        ("lbf.ft", "foot pounds", "lbf.ft"),
        ("N.m", "newton meters", "N.m"),
        ("psi", "p s i", "psi"),
        ("deg", "degrees", "deg"),
        ("degF", "degrees", "degF"),
        ("psi", "degrees", "degC"),
        ("gal/min", "g p m", "gal/min"),
        ("drops/min", "drops per minute", "drops/min"),
        ("percent", "per cent", "percent"),
    ],
)
def test_a_unit_is_meant_as_the_trade_says_it(own: str, said: str, meant: str) -> None:
    """Common practice, no source. "Pounds" is enough only where no other pounds are meant."""
    assert any_unit(own, "").readings_of(said.split()) == {(meant,)}


@pytest.mark.parametrize("symbol", UNITS)
def test_where_a_unit_is_asked_for_its_short_name_is_enough(symbol: str) -> None:
    """Each way to say it once, and "degrees" or "pounds" where no other ones are meant."""
    said = list(UNITS[symbol].said)
    if UNITS[symbol].quantity in ("temperature", "temperature difference", "angle"):
        said += ["degrees"] if "degrees" not in said else []
    if symbol in ("psi", "lbf"):
        said.append("pounds")
    assert list(said_as(symbol)) == said
    assert speak_unit(symbol) == said[0]
    meant = {each: any_unit(symbol, "").readings_of(each.split()) for each in said}
    assert set(meant.values()) == {frozenset({(symbol,)})}
