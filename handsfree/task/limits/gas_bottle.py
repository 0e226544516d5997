"""Limits of the pressure in a gas bottle at its temperature, from the charge it was given."""

import math
from fractions import Fraction
from typing import Annotated, Self

from pydantic import AfterValidator, Field, model_validator

from handsfree.task.file_model import FileModel, Identifier, wrong
from handsfree.task.limits.bounds import (
    Bounds,
    NoLimits,
    Readings,
    crossed,
    earlier_reading,
    refuse_unlimited,
)
from handsfree.task.limits.gas import Gas, OutsideModel, isochore
from handsfree.task.limits.gases import GASES
from handsfree.task.limits.measured import (
    Measured,
    PressureMeasured,
    TemperatureMeasured,
    from_si,
    to_si,
)
from handsfree.words.units import UNITS, speak_unit, units_of


def _known_gas(name: str) -> str:
    if name not in GASES:
        raise wrong(f"unknown gas '{name}'", f"Known, in percent by mole: {', '.join(GASES)}")
    return name


def _temperature_unit(unit: str) -> str:
    if unit not in UNITS or UNITS[unit].quantity != "temperature":
        fitting = " or ".join(each.symbol for each in units_of("temperature"))
        raise wrong(f"'{unit}' is not a unit of temperature", f"Write {fitting}")
    return unit


def _pressure_scale(scale: str) -> str:
    units = [unit.symbol for unit in units_of("pressure")]
    unit, _, kind = scale.partition(" ")
    if unit not in units or kind not in ("gauge", "absolute"):
        raise wrong(
            f"'{scale}' does not say what the gauge shows",
            f"Write {', '.join(units)} with gauge (above the air) or absolute, such as 'psi gauge'",
        )
    return scale


GasName = Annotated[str, AfterValidator(_known_gas)]
TemperatureUnit = Annotated[str, AfterValidator(_temperature_unit)]
PressureScale = Annotated[str, AfterValidator(_pressure_scale)]
"""A unit of pressure and `gauge` (above the air) or `absolute` (above vacuum)."""


class Fill(FileModel):
    """The charge: the pressures that are right at one temperature, such as the label gives."""

    at: TemperatureMeasured
    """The temperature of the charge, such as 70 degF."""
    min: PressureMeasured | None = None
    """The lowest pressure that is right there, such as 2900 psi, of the kind that `scale` says."""
    max: PressureMeasured | None = None
    """The highest pressure that is right there."""

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        refuse_unlimited(self.min, self.max, "a fill without a pressure")
        if self.min is not None and self.max is not None and self.min.si > self.max.si:
            raise crossed(self.min, self.max)
        return self


class GasLimits(FileModel):
    """What a bottle with the right charge reads at the temperature that was measured.

    The gas keeps its density (see `gas.py`): at the temperature of `fill` the limits are those of
    `fill`, and elsewhere the pressures that the same charge has there. All pressures of one
    `GasLimits` are of the same kind, above ambient ("gauge") or above vacuum ("absolute").
    """

    gas: GasName
    """The gas, such as nitrogen; a mixture in percent by mole."""
    over: Identifier
    """The earlier step that measures the temperature of the gas."""
    over_unit: TemperatureUnit
    """The unit of that step."""
    fill: Fill
    """The charge, as its label gives it."""
    scale: PressureScale
    """The unit of the gauge and of `fill`, and whether above the air, such as 'psi gauge'."""
    ambient: PressureMeasured = Field("1.01325 bar", validate_default=True)
    """The absolute pressure of the air where the gauge is."""

    @model_validator(mode="after")
    def _fill_is_known(self) -> Self:
        if self.ambient.si <= 0:
            raise wrong(
                f"an ambient pressure of {self.ambient}",
                "Write the absolute pressure of the air, such as 1.01325 bar",
                "ambient",
            )
        gas = GASES[self.gas]
        for pressure in (self.fill.min, self.fill.max):
            if pressure is not None:
                self._refuse_unknown(gas, pressure)
        return self

    def _refuse_unknown(self, gas: Gas, pressure: Measured) -> None:
        at = self.fill.at
        if not gas.holds_at(at.si):
            raise wrong(
                f"a fill at {at} is outside what is known of {gas.name}",
                f"Give it at {gas.coldest_c} to {gas.hottest_c} degC",
                "fill",
            )
        try:
            isochore(gas, self._absolute(pressure), at.si, at.si)
        except OutsideModel as error:
            most = gas.pressure(at.si, Fraction(gas.densest)) - self._above_vacuum
            shown = math.floor(from_si(most, pressure.unit))
            raise wrong(
                f"a fill of {pressure} is outside what is known of {gas.name}",
                f"Write a pressure above vacuum and up to {shown} {pressure.unit}",
                "fill",
            ) from error

    @property
    def earlier(self) -> tuple[str, ...]:
        """The step that measures the temperature."""
        return (self.over,)

    @property
    def unit(self) -> str:
        """The unit of the limits, and so of the reading."""
        return self.scale.split(" ")[0]

    @property
    def sides(self) -> tuple[bool, bool]:
        """Whether a pressure can be below, and above."""
        return self.fill.min is not None, self.fill.max is not None

    def bounds(self, readings: Readings) -> Bounds:
        """Limits at the measured temperature; raises NoLimits where the gas is not known."""
        gas = GASES[self.gas]
        measured = earlier_reading(readings, self.over)
        now = to_si(measured, self.over_unit)
        if not gas.holds_at(now):
            raise NoLimits(
                f"{measured} {speak_unit(self.over_unit)} is outside what is known of {gas.name}, "
                f"{gas.coldest_c} to {gas.hottest_c} degrees celsius"
            )
        return Bounds(self._now(gas, self.fill.min, now), self._now(gas, self.fill.max, now))

    def _now(self, gas: Gas, filled: Measured | None, now: Fraction) -> Fraction | None:
        if filled is None:
            return None
        pressure = isochore(gas, self._absolute(filled), self.fill.at.si, now)
        return from_si(pressure - self._above_vacuum, self.unit)

    def _absolute(self, pressure: Measured) -> Fraction:
        return pressure.si + self._above_vacuum

    @property
    def _above_vacuum(self) -> Fraction:
        """Pa: where the scale has its zero."""
        return self.ambient.si if self.scale.endswith("gauge") else Fraction(0)
