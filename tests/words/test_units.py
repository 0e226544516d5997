"""Units measure what the table says, by a reference library."""

import pint
import pytest

from handsfree.words.units import QUANTITIES, UNITS, Unit, units_of

# What the reference library calls a unit, where it has another name for it.
PINT_NAMES = {
    "N.m": "newton * meter",
    "lbf.in": "force_pound * inch",
    "lbf.ft": "force_pound * foot",
    "lbf": "force_pound",
    "in": "inch",
    "each": "dimensionless",
}
# One unit of each quantity as the SI has it (SI Brochure, 9th edition, tables 2 and 4).
SI_UNITS = {
    "pressure": "pascal",
    "temperature": "kelvin",
    "torque": "newton * meter",
    "force": "newton",
    "length": "meter",
    "time": "second",
    "voltage": "volt",
    "resistance": "ohm",
    "count": "dimensionless",
}


@pytest.fixture(scope="module")
def registry() -> "pint.UnitRegistry[float]":
    return pint.UnitRegistry()


@pytest.mark.parametrize("unit", UNITS.values(), ids=lambda unit: unit.symbol)
def test_every_unit_has_the_dimension_of_its_quantity(
    unit: Unit, registry: "pint.UnitRegistry[float]"
) -> None:
    """Reference library pint."""
    named = registry.Unit(PINT_NAMES.get(unit.symbol, unit.symbol))
    assert named.dimensionality == registry.Unit(SI_UNITS[unit.quantity]).dimensionality


def test_every_quantity_has_a_unit() -> None:
    assert set(SI_UNITS) == set(QUANTITIES)
    assert all(units_of(quantity) for quantity in QUANTITIES)
