"""Units: how a task file writes them, how people say them, and what they measure."""

from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from handsfree.words.automaton import Automaton, choice, spoken

if TYPE_CHECKING:
    import pint


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of one quantity."""

    symbol: str  # as a task file writes it
    quantity: str
    said: tuple[str, ...]  # the first is how the tool says it
    pint_name: str | None = None  # as the library pint calls it; None: as a task file writes it


_DIFFERENCE = "temperature difference"
_OF_DEGREES = ("temperature", _DIFFERENCE, "angle")
_OF_POUNDS = ("psi", "lbf")
# What a converted value keeps where no finite number of figures is exact: more than any gauge has.
_FIGURES = Context(prec=28)

_ALL = (
    Unit("psi", "pressure", ("p s i", "psi", "pounds per square inch")),
    Unit("bar", "pressure", ("bar", "bars")),
    Unit("kPa", "pressure", ("kilopascals", "kilopascal")),
    Unit("degC", "temperature", ("degrees celsius", "celsius", "degrees c")),
    Unit("degF", "temperature", ("degrees fahrenheit", "fahrenheit", "degrees f")),
    # A difference is said in the words of a temperature, but 9 degrees Fahrenheit of it are 5
    # degrees Celsius.
    Unit("delta_degC", _DIFFERENCE, ("degrees celsius", "celsius", "degrees c")),
    Unit("delta_degF", _DIFFERENCE, ("degrees fahrenheit", "fahrenheit", "degrees f")),
    Unit(
        "N.m",
        "torque",
        ("newton metres", "newton meters", "newton metre", "newton meter"),
        "newton * meter",
    ),
    Unit(
        "lbf.in",
        "torque",
        ("inch pounds", "inch pound", "pound inches", "pound force inches", "inch pounds force"),
        "force_pound * inch",
    ),
    Unit(
        "lbf.ft",
        "torque",
        ("foot pounds", "foot pound", "pound feet", "pound force feet", "foot pounds force"),
        "force_pound * foot",
    ),
    Unit("N", "force", ("newtons", "newton")),
    # "Pounds" alone is told apart in `any_unit`.
    Unit("lbf", "force", ("pounds force", "pound force"), "force_pound"),
    Unit("mm", "length", ("millimetres", "millimeters", "millimetre", "millimeter")),
    Unit("in", "length", ("inches", "inch"), "inch"),
    Unit("deg", "angle", ("degrees", "degree"), "degree"),
    Unit("L", "volume", ("litres", "liters", "litre", "liter"), "liter"),
    Unit("ml", "volume", ("millilitres", "milliliters", "millilitre", "milliliter"), "milliliter"),
    # Gallons and quarts are those of the United States.
    Unit("gal", "volume", ("gallons", "gallon", "u s gallons"), "gallon"),
    Unit("qt", "volume", ("quarts", "quart", "u s quarts"), "quart"),
    Unit("in3", "volume", ("cubic inches", "cubic inch"), "inch ** 3"),
    Unit("L/min", "flow", ("litres per minute", "liters per minute"), "liter / minute"),
    Unit(
        "ml/min",
        "flow",
        ("millilitres per minute", "milliliters per minute"),
        "milliliter / minute",
    ),
    Unit("gal/min", "flow", ("gallons per minute", "g p m"), "gallon / minute"),
    Unit(
        "drops/min",
        "drop rate",
        ("drops per minute", "drop per minute"),
        "1 / minute",
    ),
    Unit("percent", "percentage", ("percent", "per cent"), "percent"),
    Unit("s", "time", ("seconds", "second")),
    Unit("min", "time", ("minutes", "minute"), "minute"),
    Unit("h", "time", ("hours", "hour"), "hour"),
    Unit("V", "voltage", ("volts", "volt")),
    Unit("ohm", "resistance", ("ohms", "ohm")),
    Unit("each", "count", ("pieces", "piece"), "dimensionless"),
)

UNITS = {unit.symbol: unit for unit in _ALL}
QUANTITIES = tuple(dict.fromkeys(unit.quantity for unit in _ALL))


def units_of(quantity: str) -> tuple[Unit, ...]:
    """Every unit of `quantity`."""
    return tuple(unit for unit in _ALL if unit.quantity == quantity)


def said_as(symbol: str) -> tuple[str, ...]:
    """Every way to say a unit where it is asked for; the tool says the first."""
    unit = UNITS[symbol]
    degrees = ("degrees",) if unit.quantity in _OF_DEGREES else ()
    return tuple(
        dict.fromkeys((*unit.said, *degrees, *(("pounds",) if symbol in _OF_POUNDS else ())))
    )


def speak_unit(symbol: str) -> str:
    """How the tool says a unit: "psi" is "p s i"."""
    return UNITS[symbol].said[0]


@cache
def conversion(said: str, wanted: str) -> tuple[Fraction, Fraction]:
    """Factor and offset, exact: a value in `said` times the factor plus the offset is in `wanted`.

    Factors and offsets are those of the library pint, which is loaded on the first call. Raises
    ValueError where the two measure different quantities.
    """
    if UNITS[said].quantity != UNITS[wanted].quantity:
        raise ValueError(
            f"{said} measures {UNITS[said].quantity}, {wanted} {UNITS[wanted].quantity}"
        )
    if said == wanted:
        return Fraction(1), Fraction(0)
    registry = _registry()
    zero, one = (
        Fraction(registry.Quantity(Fraction(at), _pint_name(said)).to(_pint_name(wanted)).magnitude)
        for at in (0, 1)
    )
    return one - zero, zero


def convert(value: Decimal, said: str, wanted: str) -> Fraction:
    """`value` in unit `said` as exactly that much in unit `wanted`; see `conversion`."""
    factor, offset = conversion(said, wanted)
    return Fraction(value) * factor + offset


def in_figures(exact: Fraction) -> Decimal:
    """`exact` as a number in figures; the nearest one of 28 figures where none is exact."""
    return _FIGURES.divide(Decimal(exact.numerator), Decimal(exact.denominator))


def _pint_name(symbol: str) -> str:
    return UNITS[symbol].pint_name or symbol


@cache
def _registry() -> "pint.UnitRegistry[Fraction]":
    # Half a second that only a gauge with two scales needs.
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


@cache
def any_unit(
    own: str,
    mark: str,
    plain_degrees: str | None = None,
    then: tuple[str, ...] = (),
    without: tuple[str, ...] = (),
) -> Automaton:
    """Any unit as said; emits `mark` followed by its symbol, then `then`. `own` is asked for.

    All units can be heard, not only the right one: a unit that cannot be heard is left out by the
    recognizer, and "two hundred bar" would become two hundred of something else.

    "Degrees" alone names no scale. Where degrees were asked for it means those, unless the caller
    says what it emits. So does "pounds" where pounds per square inch or pounds of force were asked
    for; of a torque it is not enough, for inch pounds and foot pounds differ by twelve times.
    The units of the quantities in `without` cannot be said: they would be taken for something else.
    """
    quantity = UNITS[own].quantity
    difference = quantity == _DIFFERENCE
    if plain_degrees is None:
        plain_degrees = own if quantity in _OF_DEGREES else "degC"
    plain_pounds = own if own in _OF_POUNDS else "lbf"
    return choice(
        spoken("degrees", mark + plain_degrees, *then),
        spoken("pounds", mark + plain_pounds, *then),
        *(
            spoken(said, mark + unit.symbol, *then)
            for unit in _ALL
            if unit.quantity not in ("temperature" if difference else _DIFFERENCE, *without)
            for said in unit.said
            if said != "degrees"
        ),
    )
