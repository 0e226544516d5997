"""Limits as a person reads them: decimals, rounded inward so that none looks wider than it is."""

import re
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

_EXACT = re.compile(r"-?[0-9]{1,60}(/[0-9]{1,60}|\.[0-9]{1,60})?")
_UNKNOWN_STEP = Decimal("0.001")  # of a reading whose step is not in the task any more


def lowest_told(exact: str | None, resolution: Decimal | None) -> str:
    """A lower limit, rounded up to a tenth of the finest step of the scale.

    A value on the scale is inside the limit that is told exactly where it is inside the exact one.
    "" where there is none, or nothing that is a limit.
    """
    return _told(exact, resolution, up=True)


def highest_told(exact: str | None, resolution: Decimal | None) -> str:
    """An upper limit, rounded down; see `lowest_told`."""
    return _told(exact, resolution, up=False)


def _told(exact: str | None, resolution: Decimal | None, *, up: bool) -> str:
    # A record can hold anything, and a number with an exponent can be too large for any memory.
    if exact is None or not _EXACT.fullmatch(exact) or exact.endswith("/0"):
        return ""
    try:
        limit = Fraction(exact)
    except ZeroDivisionError:
        return ""
    step = Fraction(resolution or _UNKNOWN_STEP) / 10
    steps = (ceil if up else floor)(limit / step)
    return _plain(Fraction(steps) * step)


def _plain(value: Fraction) -> str:
    """A fraction that has a last decimal, without zeros behind it."""
    figures = 0
    while (value * 10**figures).denominator != 1:
        figures += 1
        if figures > 60:  # a step such as a third has none; it is no decimal that a file can hold
            return str(value)
    whole = abs(value.numerator * 10**figures // value.denominator)
    sign = "-" if value < 0 else ""
    digits = str(whole).rjust(figures + 1, "0")
    return sign + (f"{digits[:-figures]}.{digits[-figures:]}" if figures else digits)
