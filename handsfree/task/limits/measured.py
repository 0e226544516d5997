"""A number with its unit, as a task file writes it: `2900 psi`, `70 degF`; exact conversions.

Every factor is exact by definition (SI Brochure, 9th edition; NIST SP 811, appendix B): the
international pound and inch, standard gravity, and the zeros of the two temperature scales. A table
and not the library pint, which takes half a second to load before every check of a task.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import partial
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from handsfree.task.file_model import wrong
from handsfree.words.units import UNITS, units_of

_INCH = Fraction("0.0254")  # m
_POUND_FORCE = Fraction("0.45359237") * Fraction("9.80665")  # N

# How many SI units one unit is: pascal, kelvin, newton metre, metre.
_FACTORS = {
    "psi": _POUND_FORCE / _INCH**2,
    "bar": Fraction(100_000),
    "kPa": Fraction(1000),
    "degC": Fraction(1),
    "degF": Fraction(5, 9),
    "N.m": Fraction(1),
    "lbf.in": _POUND_FORCE * _INCH,
    "lbf.ft": _POUND_FORCE * _INCH * 12,
    "mm": Fraction(1, 1000),
    "in": _INCH,
}
# What is added before the factor, so that the scale starts at zero.
_OFFSETS = {"degC": Fraction("273.15"), "degF": Fraction("459.67")}


def to_si(value: Decimal | Fraction, unit: str) -> Fraction:
    """`value` in Pa, K, N.m or m, exact; a temperature becomes an absolute one."""
    return (Fraction(value) + _OFFSETS.get(unit, 0)) * _FACTORS[unit]


def from_si(value: Fraction, unit: str) -> Fraction:
    """`value`, in SI units as `to_si` gives it, in `unit`; exact."""
    return value / _FACTORS[unit] - _OFFSETS.get(unit, 0)


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and its unit; the unit is one that `to_si` knows."""

    value: Decimal
    unit: str

    def __str__(self) -> str:
        return f"{self.value} {self.unit}"

    @property
    def si(self) -> Fraction:
        """In Pa, K (absolute), N.m or m, exact."""
        return to_si(self.value, self.unit)


# Nine figures on either side are more than any gauge has, and keep exact arithmetic quick.
_FORM = r"-?[0-9]{1,9}(\.[0-9]{1,9})? [A-Za-z.]+"


def _measured(quantity: str, value: Any) -> Any:
    if isinstance(value, Measured):
        return value
    units = [unit.symbol for unit in units_of(quantity)]
    if not isinstance(value, str) or not re.fullmatch(_FORM, value):
        raise wrong(
            f"'{value}' is not a {quantity} with its unit",
            f"Write a plain number, a space and one of {', '.join(units)}",
        )
    number, unit = value.split(" ")
    if unit not in units:
        what = f"measures {UNITS[unit].quantity}" if unit in UNITS else "is not a known unit"
        raise wrong(
            f"{unit} {what}, and this must be a {quantity}", f"Write one of {', '.join(units)}"
        )
    return Measured(Decimal(number), unit)


_IN_FILE = WithJsonSchema({"type": "string", "pattern": f"^{_FORM}$"})

PressureMeasured = Annotated[Measured, BeforeValidator(partial(_measured, "pressure")), _IN_FILE]
TemperatureMeasured = Annotated[
    Measured, BeforeValidator(partial(_measured, "temperature")), _IN_FILE
]
TorqueMeasured = Annotated[Measured, BeforeValidator(partial(_measured, "torque")), _IN_FILE]
LengthMeasured = Annotated[Measured, BeforeValidator(partial(_measured, "length")), _IN_FILE]
