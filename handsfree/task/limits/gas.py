"""The pressure of a gas that stays in one closed bottle while its temperature changes.

The bottle keeps its volume and loses no gas, so the gas moves along an isochore: its density is
found from the pressure and temperature at one moment, and gives the pressure at any other. The
gas is a real one,

    p = rho R T (1 + sum over i, j of c[i][j] d^(i+1) t^j),   d = rho / (10 mol/L), t = 300 K / T

with the coefficients of `gases.py`, which were fitted to the reference equations of CoolProp. The
pressure of an isochore is within 0.01 % of theirs for nitrogen and 0.06 % for the mixture. How far
those are from the gas itself: about 0.02 % in density for nitrogen, and some 0.5 % for the mixture
(from memory). What a steel bottle itself gives way, about 0.004 % of its volume for each degree, is
left out, and so is a charge that is not well mixed.

A mixture with carbon dioxide is known only where no liquid can form at any pressure: colder, part
of it condenses, and the pressure of the rest follows no isochore.

All arithmetic is exact or in whole numbers, so equal inputs give equal results on any machine.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

R = Fraction("8.31446261815324")  # J/(mol K), exact (SI Brochure, 9th edition)
_GRAINS_PER_MOL_PER_LITRE = 10**9  # density is found to this many parts of 1 mol/L


class OutsideModel(ValueError):
    """The gas is not known at this temperature or density."""


@dataclass(frozen=True, slots=True)
class Gas:
    """What is known of one gas, and between which temperatures and up to which density."""

    name: str
    coldest_c: int  # degrees Celsius
    hottest_c: int
    densest: int  # mol/L
    coefficients: tuple[tuple[Decimal, ...], ...]  # [i][j]: of d^(i+1) t^j

    def holds_at(self, kelvin: Fraction) -> bool:
        """Whether the gas is known at this temperature, the ends included."""
        celsius = kelvin - Fraction("273.15")
        return self.coldest_c <= celsius <= self.hottest_c

    def pressure(self, kelvin: Fraction, density: Fraction) -> Fraction:
        """Absolute pressure in Pa at `density` in mol/L, exact; asks nothing about validity."""
        d, t = density / 10, 300 / kelvin
        z, power = Fraction(1), Fraction(1)
        for row in self._by_power_of_density(t):
            power *= d
            z += row * power
        return density * 1000 * R * kelvin * z

    def _by_power_of_density(self, t: Fraction) -> tuple[Fraction, ...]:
        return tuple(
            sum((Fraction(each) * t**j for j, each in enumerate(row)), Fraction(0))
            for row in self.coefficients
        )


def rows(text: str) -> tuple[tuple[Decimal, ...], ...]:
    """The numbers of `text`, one row a line."""
    return tuple(tuple(map(Decimal, line.split())) for line in text.split("\n") if line.strip())


@lru_cache(maxsize=1024)
def isochore(gas: Gas, filled_pa: Fraction, filled_k: Fraction, now_k: Fraction) -> Fraction:
    """Absolute pressure in Pa at `now_k` of gas that had `filled_pa`, absolute, at `filled_k`.

    At `filled_k` this is `filled_pa` itself; elsewhere it differs from it by whole pascals, far
    below what the coefficients are good for. Raises OutsideModel.
    """
    for kelvin in (filled_k, now_k):
        if not gas.holds_at(kelvin):
            raise OutsideModel("temperature")
    density = _density(gas, filled_pa, filled_k)
    change = gas.pressure(now_k, density) - gas.pressure(filled_k, density)
    return filled_pa + round(change)


@lru_cache(maxsize=1024)
def _density(gas: Gas, pressure_pa: Fraction, kelvin: Fraction) -> Fraction:
    """Density in mol/L; pressure rises with density all over the model, so halving finds it."""
    low, high = 0, gas.densest * _GRAINS_PER_MOL_PER_LITRE
    if not 0 < pressure_pa <= gas.pressure(kelvin, Fraction(gas.densest)):
        raise OutsideModel("pressure")
    while high - low > 1:
        middle = (low + high) // 2
        if gas.pressure(kelvin, Fraction(middle, _GRAINS_PER_MOL_PER_LITRE)) <= pressure_pa:
            low = middle
        else:
            high = middle
    return Fraction(low, _GRAINS_PER_MOL_PER_LITRE)
