"""Fit the gases to the reference library: `python -m tests.benchmarks.fit_gases`.

Prints the content of `handsfree/task/limits/gases.py`. Takes a second.

The reference is CoolProp: for nitrogen the equation of Span et al. (2000), for the mixture a
multi-fluid model with the pair constants of Gernert (2013). Z - 1 is fitted by linear least
squares, each point weighted so that relative errors of the pressure count alike.
"""

from dataclasses import dataclass
from decimal import Decimal

import CoolProp
import numpy as np
from CoolProp.CoolProp import AbstractState
from numpy.typing import NDArray

POWERS_OF_DENSITY = 5
POWERS_OF_TEMPERATURE = 4  # from 0
R = 8.31446261815324
_FIGURES = Decimal("0.000000001")
_BEYOND_K = 2.0  # the fit reaches over the ends, where a polynomial is worst
_BEYOND_DENSITY = 1.04


@dataclass(frozen=True, slots=True)
class Reference:
    """One gas as the reference library calls it, and where it is fitted."""

    name: str
    fluids: str
    mole_fractions: tuple[float, ...]
    coldest_c: int
    hottest_c: int
    densest: int  # mol/L


# The coldest of the mixture is 7 degrees above the highest temperature at which the reference
# library finds any liquid, -32.8 degC at 97 bar. Colder, carbon dioxide can condense, and the
# pressure no longer follows an isochore of one gas.
REFERENCES = (
    Reference("nitrogen", "Nitrogen", (1.0,), -40, 70, 12),
    Reference("carbon dioxide 30 nitrogen 70", "CarbonDioxide&Nitrogen", (0.3, 0.7), -25, 70, 13),
)


def reference_state(reference: Reference) -> AbstractState:
    """A state that takes density and temperature and looks for no second phase."""
    state = AbstractState("HEOS", reference.fluids)
    if len(reference.mole_fractions) > 1:
        state.set_mole_fractions(list(reference.mole_fractions))
    state.specify_phase(CoolProp.iphase_gas)
    return state


def reference_pressure(state: AbstractState, kelvin: float, density: float) -> float:
    """Pa, at a density in mol/L."""
    state.update(CoolProp.DmolarT_INPUTS, density * 1000, kelvin)
    return state.p()


def fit(reference: Reference) -> tuple[NDArray[np.float64], float]:
    """Coefficients, [power of density - 1][power of temperature], and the worst relative error."""
    state = reference_state(reference)
    kelvins = 273.15 + np.linspace(
        reference.coldest_c - _BEYOND_K, reference.hottest_c + _BEYOND_K, 40
    )
    densities = np.linspace(0.02, _BEYOND_DENSITY, 60) * reference.densest
    points = [(k, rho) for k in kelvins for rho in densities]
    k, rho = np.array(points).T
    pressures = np.array([reference_pressure(state, *point) for point in points])
    z = pressures / (rho * 1000 * R * k)
    terms = np.array(
        [
            (rho / 10) ** (i + 1) * (300 / k) ** j
            for i in range(POWERS_OF_DENSITY)
            for j in range(POWERS_OF_TEMPERATURE)
        ]
    ).T
    solution = np.linalg.lstsq(terms / z[:, None], (z - 1) / z, rcond=None)[0]
    worst = float(np.abs((terms @ solution + 1) / z - 1).max())
    return solution.reshape(POWERS_OF_DENSITY, POWERS_OF_TEMPERATURE), worst


def main() -> None:
    """Print the file."""
    print('"""Gases for `gas.py`. Made by `python -m tests.benchmarks.fit_gases`; do not edit.')
    print(f"\nFitted to CoolProp {CoolProp.__version__}. Mixtures are by mole, in percent.")
    print('"""\n\nfrom handsfree.task.limits.gas import Gas, rows\n')
    print("GASES = {\n    gas.name: gas\n    for gas in (")
    for reference in REFERENCES:
        coefficients, worst = fit(reference)
        print(f"        # Pressure within {worst * 100:.3f} % of the reference.")
        print("        Gas(")
        print(f'            name="{reference.name}",')
        print(f"            coldest_c={reference.coldest_c},")
        print(f"            hottest_c={reference.hottest_c},")
        print(f"            densest={reference.densest},")
        print('            coefficients=rows("""')
        for row in coefficients:
            figures = (Decimal(float(each)).quantize(_FIGURES) for each in row)
            print("               ", " ".join(f"{each:12f}" for each in figures))
        print('            """),\n        ),')
    print("    )\n}")


if __name__ == "__main__":
    main()
