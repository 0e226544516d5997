"""Units as they are printed on a gauge."""

# Where a task file spells a unit in ASCII. The signs are those of the SI brochure, section 5.
_PRINTED = {
    "degC": "°C",
    "degF": "°F",
    "delta_degC": "°C",
    "delta_degF": "°F",
    "N.m": "N·m",
    "lbf.in": "lbf·in",
    "lbf.ft": "lbf·ft",
    "ohm": "Ω",
    "deg": "°",
    "in3": "in³",
    "percent": "%",
    "each": "pieces",
}


def symbol_of(unit: str) -> str:
    """The printed symbol of a unit of a task file, such as "°C" for "degC"."""
    return _PRINTED.get(unit, unit)
