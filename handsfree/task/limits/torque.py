"""Limits of the setting of a torque wrench, from the torque that the fastener needs.

An extension that carries the fastener away from the drive of the wrench makes the lever longer,

    setting = torque * L / (L + E cos a)

L from the middle of the grip to the drive, E from the drive to the fastener, a the angle between
the extension and the line of the wrench: 0 straight on, 90 at a right angle, 180 back to the grip.
Sources: TM 9-254, figures 4-5 and 4-6; TM 1-1500-204-23-9, figures 8-16 and 8-17.
"""

from decimal import Decimal, localcontext
from fractions import Fraction
from typing import Annotated, Self

from pydantic import Field, model_validator

from handsfree.task.file_model import FileModel, Identifier, wrong
from handsfree.task.limits.bounds import Bounds, NoLimits, Readings, crossed, earlier_reading
from handsfree.task.limits.measured import LengthMeasured, TorqueMeasured, from_si, to_si
from handsfree.words.units import speak_unit

# TM 1-1500-204-23-9, table 8-1: no accuracy is required of a wrench below 20 percent of full scale.
LOWEST_SHARE_OF_SCALE = Fraction(20, 100)

_PI = Decimal("3.141592653589793238462643383279502884197")


def wrench_setting(torque: Fraction, lever: Fraction, reach: Fraction) -> Fraction:
    """The setting that gives `torque` at the fastener, in the unit of `torque`; exact.

    `lever` is L and `reach` is E cos a, both in one unit; their sum is above zero.
    """
    return torque * lever / (lever + reach)


def cosine(degrees: Decimal) -> Fraction:
    """Of 0 to 180 degrees, to 20 decimals, the same on any machine."""
    if degrees > 90:
        return -cosine(180 - degrees)
    with localcontext(prec=40):
        x = degrees * _PI / 180
        term = total = Decimal(1)
        for n in range(2, 60, 2):
            term *= -x * x / (n * (n - 1))
            total += term
        return Fraction(round(total, 20))


class Torque(FileModel):
    """What the fastener needs, without the torque that only turns the nut."""

    min: TorqueMeasured
    """The lowest torque at the fastener that is right, such as 280 lbf.in."""
    max: TorqueMeasured
    """The highest torque at the fastener that is right."""

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.min.si <= 0:
            raise wrong(f"a torque of {self.min}", "Write a torque above zero", "min")
        if self.min.si > self.max.si:
            raise crossed(self.min, self.max)
        return self


class Wrench(FileModel):
    """The scale of the torque wrench, and the length of its lever."""

    min: TorqueMeasured
    """The lowest torque that can be set."""
    max: TorqueMeasured
    """Full scale."""
    lever: LengthMeasured | None = None
    """From the middle of the grip to the drive, such as 10 in; needed with an extension."""

    @model_validator(mode="after")
    def _possible(self) -> Self:
        if not 0 <= self.min.si < self.max.si:
            raise wrong(
                f"a wrench from {self.min} to {self.max}", "Write both ends of its scale", "max"
            )
        if self.min.unit != self.max.unit:
            raise wrong(
                f"a scale from {self.min.unit} to {self.max.unit}",
                "Write both ends in the unit that the wrench is set in",
                "max",
            )
        if self.lever is not None and self.lever.si <= 0:
            raise wrong(f"a lever of {self.lever}", "Write a length above zero", "lever")
        return self

    @property
    def usable(self) -> tuple[Fraction, Fraction]:
        """The lowest and the highest setting that are accurate, in the unit of the scale."""
        highest = Fraction(self.max.value)
        return max(Fraction(self.min.value), LOWEST_SHARE_OF_SCALE * highest), highest


class Extension(FileModel):
    """An adapter that carries the fastener away from the drive."""

    length: LengthMeasured
    """From the drive to the fastener."""
    angle: Annotated[Decimal, Field(ge=0, le=180, max_digits=9)] = Decimal(0)
    """Degrees: 0 straight on, 90 across, 180 back to the grip."""

    @model_validator(mode="after")
    def _possible(self) -> Self:
        if self.length.si <= 0:
            raise wrong(f"an extension of {self.length}", "Write a length above zero", "length")
        return self

    @property
    def reach(self) -> Fraction:
        """By how much the lever becomes longer, in metres; below zero where it turns back."""
        return self.length.si * cosine(self.angle)


class Prevailing(FileModel):
    """The torque that turns the nut before it is tight, measured in an earlier step.

    It is added to what the fastener needs. Source: FAA AC 43.13-1B, paragraph 7-40 d.
    """

    over: Identifier
    """The earlier step that measures it, with the same unit as the wrench."""
    with_extension: bool
    """Whether the wrench had the extension on it when it was measured."""


class TorqueLimits(FileModel):
    """What the wrench may be set to; only settings at which it is accurate are inside."""

    torque: Torque
    """What the fastener needs."""
    wrench: Wrench
    """The wrench that is set; it is used from 20 % of its scale."""
    extension: Extension | None = None
    """An adapter or extension on the wrench."""
    prevailing: Prevailing | None = None
    """An earlier torque that turns the nut and is added."""

    @model_validator(mode="after")
    def _lever_is_known(self) -> Self:
        if self.extension is None:
            return self
        if self.wrench.lever is None:
            raise wrong(
                "an extension on a wrench without its lever",
                "Write the length from the middle of the grip to the drive as 'lever'",
                "wrench",
            )
        if self.wrench.lever.si + self.extension.reach <= 0:
            raise wrong(
                f"the extension of {self.extension.length} reaches back past the grip, "
                f"{self.wrench.lever} away",
                "Write a shorter extension or a smaller angle",
                "extension",
            )
        return self

    @model_validator(mode="after")
    def _wrench_fits(self) -> Self:
        # With a prevailing torque the setting is only known when that has been measured.
        if self.prevailing is None:
            try:
                self._settings(Fraction(0))
            except NoLimits as error:
                raise wrong(str(error), "Name a wrench that fits the torque", "wrench") from error
        return self

    @property
    def earlier(self) -> tuple[str, ...]:
        """The step that measures the prevailing torque, where there is one."""
        return () if self.prevailing is None else (self.prevailing.over,)

    @property
    def unit(self) -> str:
        """The unit of the limits, and so of the reading."""
        return self.wrench.max.unit

    @property
    def sides(self) -> tuple[bool, bool]:
        """Whether a setting can be below, and above: both."""
        return True, True

    def bounds(self, readings: Readings) -> Bounds:
        """Limits of the setting; raises NoLimits where the wrench does not fit."""
        if self.prevailing is None:
            return self._settings(Fraction(0))
        measured = earlier_reading(readings, self.prevailing.over)
        if measured < 0:
            raise NoLimits(f"a prevailing torque of {measured} is below zero")
        return self._settings(to_si(measured, self.unit))

    def _settings(self, prevailing: Fraction) -> Bounds:
        """`prevailing` in N.m, as the wrench showed it."""
        on_the_wrench = self.prevailing is not None and self.prevailing.with_extension
        low, high = (
            from_si(
                self._set(each.si) + prevailing
                if on_the_wrench
                else self._set(each.si + prevailing),
                self.unit,
            )
            for each in (self.torque.min, self.torque.max)
        )
        lowest, highest = self.wrench.usable
        if low > highest or high < lowest:
            raise NoLimits(
                f"the setting, {_shown(low)} to {_shown(high)}, is outside what this wrench is "
                f"accurate for, {_shown(lowest)} to {_shown(highest)} {speak_unit(self.unit)}"
            )
        return Bounds(max(low, lowest), min(high, highest))

    def _set(self, torque: Fraction) -> Fraction:
        if self.extension is None or self.wrench.lever is None:
            return torque
        return wrench_setting(torque, self.wrench.lever.si, self.extension.reach)


def _shown(value: Fraction) -> str:
    """To one decimal, for a person; never compared."""
    tenths = round(value * 10)
    return f"{Decimal(tenths) / 10:f}"
