"""Values of the core as JSON.

A `Decimal` and a fraction become text, because a JSON number is a double (RFC 8785, 3.2.2.3), and
a number that is not finite becomes null.
"""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import timedelta
from decimal import Decimal
from enum import Enum
from typing import TypeAlias

Json: TypeAlias = "str | int | float | bool | list[Json] | dict[str, Json] | None"

_CAPITAL = re.compile(r"(?<!^)(?=[A-Z])")


def kind_of(value: object) -> str:
    """The name of an entry or event on the record: `ReadingTaken` is "reading-taken"."""
    return _CAPITAL.sub("-", type(value).__name__).lower()


def fields_of(value: object) -> dict[str, Json]:
    """The fields of a dataclass as JSON."""
    if not is_dataclass(value) or isinstance(value, type):
        raise TypeError(f"{value!r} is not a dataclass value")
    return {each.name: as_json(getattr(value, each.name)) for each in fields(value)}


def as_json(value: object) -> Json:
    """`value` as JSON; raises TypeError for a type that the core does not use."""
    match value:
        case None | bool() | int() | str():
            return value
        case float():
            return value if math.isfinite(value) else None
        case Decimal():
            return f"{value:f}"
        case timedelta():
            return round(value / timedelta(milliseconds=1))
        case Enum():
            return as_json(value.value)
        case Mapping():
            return {str(key): as_json(each) for key, each in value.items()}
        case Sequence():
            return [as_json(each) for each in value]
    return fields_of(value)
