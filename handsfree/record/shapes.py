"""What a value of a type can look like in JSON: by that the members of a union are told apart."""

from collections.abc import Mapping
from dataclasses import is_dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from typing import Any, get_origin


def shape_of(found: object) -> str:
    """What JSON can tell of a value by itself."""
    return _BY_TYPE.get(type(found)) or _of_other_type(found)


_BY_TYPE = {
    type(None): "null",
    bool: "bool",
    int: "whole",
    float: "number",
    str: "text",
    list: "list",
    dict: "object",
}


def _of_other_type(found: object) -> str:
    """Of a value whose type is made from one of those, such as a whole number with a name."""
    match found:
        case None:
            return "null"
        case bool():
            return "bool"
        case int():
            return "whole"
        case float():
            return "number"
        case str():
            return "text"
        case list():
            return "list"
    return "object"


@lru_cache(maxsize=512)
def shapes_of(hint: Any) -> frozenset[str]:
    """What a value of this type can look like in JSON; raises TypeError for an unknown type."""
    origin = get_origin(hint) or hint
    if hint is type(None):
        return frozenset({"null"})
    if is_dataclass(hint):
        return frozenset({"object"})
    if isinstance(origin, type):
        if issubclass(origin, Enum):
            return frozenset({shape_of(each.value) for each in origin})
        for kinds, shapes in _OF_KINDS:
            if issubclass(origin, kinds):
                return frozenset(shapes)
    raise TypeError(f"the record has no form for {hint}")


_OF_KINDS: tuple[tuple[tuple[type, ...], set[str]], ...] = (
    ((bool,), {"bool"}),
    ((int,), {"whole"}),
    # A double that is whole is written without a point (RFC 8785, 3.2.2.3).
    ((float,), {"whole", "number", "text"}),
    ((timedelta,), {"whole", "number"}),
    ((str, Decimal, Fraction, date), {"text"}),
    ((tuple, list), {"list"}),
    ((Mapping,), {"object"}),
)
