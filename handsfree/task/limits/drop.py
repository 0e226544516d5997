"""Limits of a pressure drop, less what a change of temperature alone has done to the pressure.

Gay-Lussac's law (from memory; any textbook of physics has it): in an ideal gas of constant volume,
from which nothing is lost, the absolute pressure is in proportion to the absolute temperature,
p2 = p1 T2 / T1. The corrected drop is this p2 less the pressure that is read: what was lost, as it
shows at the temperature now.

A real gas leaves the law the more, the higher its pressure and the larger the change. Nitrogen and
air that are 20 K warmer or colder come out within 0.5 % of the pressure up to `HIGHEST_BAR` (the
tests compare CoolProp); over 55 K nitrogen at 15 bar is 0.8 % off. So a limit must be wide against
that: of a gas that warmed, a little of a true drop is not seen. Where the gas is named, p2 is that
of the real gas at constant density (see `gas.py`), at any pressure that is known of it.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Self

from pydantic import Field, model_validator

from handsfree.task.file_model import FileModel, Identifier, wrong
from handsfree.task.limits.bounds import (
    Bound,
    Bounds,
    NoLimits,
    Readings,
    earlier_reading,
    exact,
    refuse_crossed,
    refuse_unlimited,
)
from handsfree.task.limits.gas import OutsideModel, isochore
from handsfree.task.limits.gas_bottle import GasName, PressureScale, TemperatureUnit
from handsfree.task.limits.gases import GASES
from handsfree.task.limits.measured import PressureMeasured, from_si, to_si

HIGHEST_BAR = 25
"""Absolute, where no gas is named. Most tyres are below it; a charged bottle is not."""


class DropLimits(FileModel):
    """How far a pressure may have dropped, corrected for the temperature then and now.

    The corrected drop is p1 T2 / T1 - p2, absolute pressures and temperatures, volume constant;
    where `gas` is named, what the real gas would have now less p2.
    The air at the gauge must be the same both times where `scale` says gauge.
    """

    drop_from: Identifier
    """The earlier step that read the pressure before, on the same scale as this reading."""
    gas: GasName | None = None
    """The gas, such as nitrogen, for its real behaviour; without it the ideal gas."""
    over: Annotated[tuple[Identifier, ...], Field(min_length=2, max_length=2)]
    """The earlier steps that measured the temperature of the gas: before, and now."""
    over_unit: TemperatureUnit
    """The unit of both temperatures."""
    scale: PressureScale
    """The unit of the gauge, and whether above the air, such as 'psi gauge'."""
    ambient: PressureMeasured = Field("1.01325 bar", validate_default=True)
    """The absolute pressure of the air where the gauge is."""
    min: Bound | None = None
    """The lowest corrected drop that is inside, in the unit of `scale`; a rise is below 0."""
    max: Bound | None = None
    """The highest corrected drop that is inside, in the unit of `scale`."""

    @model_validator(mode="after")
    def _limited(self) -> Self:
        refuse_unlimited(self.min, self.max, "limits without a limit")
        refuse_crossed(self.min, self.max)
        if len(set(self.earlier)) < len(self.earlier):
            raise wrong(
                "one step is named twice",
                "Name the step of the pressure before, and two steps that measure a temperature",
                "over",
            )
        if self.ambient.si <= 0:
            raise wrong(
                f"an ambient pressure of {self.ambient}",
                "Write the absolute pressure of the air, such as 1.01325 bar",
                "ambient",
            )
        return self

    @property
    def earlier(self) -> tuple[str, ...]:
        """The steps of the pressure before, of the temperature then and of the one now."""
        return (self.drop_from, *self.over)

    @property
    def unit(self) -> str:
        """The unit of the limits, and so of both pressures."""
        return self.scale.split(" ")[0]

    @property
    def sides(self) -> tuple[bool, bool]:
        """Whether a drop can be below, and above."""
        return self.min is not None, self.max is not None

    def unit_of(self, step: str) -> str:
        """The unit that an earlier step must read in."""
        return self.over_unit if step in self.over else self.unit

    def key_of(self, step: str) -> tuple[str | int, ...]:
        """Where an earlier step is named."""
        return ("over", self.over.index(step)) if step in self.over else ("drop_from",)

    def bounds(self, readings: Readings) -> Bounds:
        """What may be read now; raises NoLimits where the law does not hold."""
        before = to_si(earlier_reading(readings, self.drop_from), self.unit) + self._above_vacuum
        then, now = (to_si(earlier_reading(readings, at), self.over_unit) for at in self.over)
        if then <= 0 or now <= 0:
            raise NoLimits("a temperature is not above absolute zero")
        if before <= 0:
            raise NoLimits("the pressure before is not above vacuum")
        kept = from_si(self._without_loss(before, then, now) - self._above_vacuum, self.unit)
        low, high = exact(self.min), exact(self.max)
        return Bounds(
            None if high is None else kept - high,
            None if low is None else kept - low,
            CorrectedDrop(kept, low, high),
        )

    def _without_loss(self, before: Fraction, then: Fraction, now: Fraction) -> Fraction:
        """Pa, absolute, from Pa and K: what the gas has now that had `before` then."""
        if self.gas is not None:
            gas = GASES[self.gas]
            if not (gas.holds_at(then) and gas.holds_at(now)):
                raise NoLimits(
                    f"a temperature is outside what is known of {gas.name}, "
                    f"{gas.coldest_c} to {gas.hottest_c} degrees celsius"
                )
            try:
                return isochore(gas, before, then, now)
            except OutsideModel as error:
                raise NoLimits(f"the pressure is outside what is known of {gas.name}") from error
        without_loss = before * now / then
        if max(before, without_loss) > to_si(Fraction(HIGHEST_BAR), "bar"):
            raise NoLimits(
                f"above {HIGHEST_BAR} bar absolute the pressure of a gas does not follow its "
                "temperature closely enough unless the gas is named"
            )
        return without_loss

    @property
    def _above_vacuum(self) -> Fraction:
        """Pa: where the scale has its zero."""
        return self.ambient.si if self.scale.endswith("gauge") else Fraction(0)


@dataclass(frozen=True, slots=True)
class CorrectedDrop:
    """What the gas would read now had none been lost, less what is read; see `bounds.Combined`."""

    kept: Fraction
    lowest: Fraction | None
    highest: Fraction | None
    called: str = "corrected drop"

    def of(self, value: Fraction) -> Fraction:
        """The drop where `value` is read now."""
        return self.kept - value
