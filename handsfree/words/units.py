"""Units: how a task file writes them, how people say them, and what they measure."""

from dataclasses import dataclass

from handsfree.words.automaton import Automaton, choice, spoken


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of one quantity."""

    symbol: str  # as a task file writes it
    quantity: str
    said: tuple[str, ...]  # the first is how the tool says it


_ALL = (
    Unit("psi", "pressure", ("p s i", "psi", "pounds per square inch")),
    Unit("bar", "pressure", ("bar", "bars")),
    Unit("kPa", "pressure", ("kilopascals", "kilopascal")),
    Unit("degC", "temperature", ("degrees celsius", "celsius", "degrees c")),
    Unit("degF", "temperature", ("degrees fahrenheit", "fahrenheit", "degrees f")),
    Unit("N.m", "torque", ("newton metres", "newton meters", "newton metre", "newton meter")),
    Unit("lbf.in", "torque", ("inch pounds", "inch pound", "pound inches")),
    Unit("lbf.ft", "torque", ("foot pounds", "foot pound", "pound feet")),
    Unit("N", "force", ("newtons", "newton")),
    Unit("lbf", "force", ("pounds force", "pounds")),
    Unit("mm", "length", ("millimetres", "millimeters", "millimetre", "millimeter")),
    Unit("in", "length", ("inches", "inch")),
    Unit("s", "time", ("seconds", "second")),
    Unit("V", "voltage", ("volts", "volt")),
    Unit("ohm", "resistance", ("ohms", "ohm")),
    Unit("each", "count", ("pieces", "piece")),
)

UNITS = {unit.symbol: unit for unit in _ALL}
QUANTITIES = tuple(dict.fromkeys(unit.quantity for unit in _ALL))


def units_of(quantity: str) -> tuple[Unit, ...]:
    """Every unit of `quantity`."""
    return tuple(unit for unit in _ALL if unit.quantity == quantity)


def speak_unit(symbol: str) -> str:
    """How the tool says a unit: "psi" is "p s i"."""
    return UNITS[symbol].said[0]


def any_unit(own: str, mark: str) -> Automaton:
    """Any unit as said; emits `mark` followed by its symbol. `own` is the unit asked for.

    All units can be heard, not only the right one: a unit that cannot be heard is left out by the
    recognizer, and "two hundred bar" would become two hundred of something else.
    """
    # "Degrees" alone names no scale. Where degrees were asked for it means those.
    plain_degrees = own if UNITS[own].quantity == "temperature" else "degC"
    return choice(
        spoken("degrees", mark + plain_degrees),
        *(spoken(said, mark + unit.symbol) for unit in _ALL for said in unit.said),
    )
