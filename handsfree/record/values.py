"""Values of the core as JSON, and back.

What is written is read back as it was: a dataclass is an object that names its kind, a `Decimal`
and a fraction are text, because a JSON number is a double (RFC 8785, 3.2.2.3), a number that is not
finite is the text "Infinity", "-Infinity" or "NaN", and a length of time is a number of ms. Which
types there are is read from the annotations, so a new entry or event needs no word here.
"""

import math
import re
import types
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, fields, is_dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from typing import Any, TypeAlias, TypeVar, Union, get_args, get_origin, get_type_hints

Json: TypeAlias = "str | int | float | bool | list[Json] | dict[str, Json] | None"
JsonObject: TypeAlias = dict[str, "Json"]

_T = TypeVar("_T")

KIND = "kind"
_CAPITAL = re.compile(r"(?<!^)(?=[A-Z])")
_PLAIN_NUMBER = re.compile(r"-?[0-9]+([./][0-9]+)?")
_NOT_FINITE = {"Infinity": math.inf, "-Infinity": -math.inf, "NaN": math.nan}
_MS = timedelta(milliseconds=1)
# A JSON number is a double, and every whole one up to here is another (RFC 8785, 3.2.2.3).
LARGEST_WHOLE = 2**53 - 1
# A value is spoken, and one that was converted has 28 figures. To reckon with one that somebody
# made up could take for ever.
_MOST_FIGURES = 100


class NotReadable(ValueError):
    """JSON that is no value of the type that it should be."""


def kind_of(value: object) -> str:
    """The name of an entry or event on the record: `ReadingTaken` is "reading-taken"."""
    return kind_named(type(value))


def kind_named(each: type) -> str:
    """The name of this type of entry or event on the record."""
    return _kind(each)


def fields_of(value: object) -> JsonObject:
    """The fields of a dataclass as JSON."""
    if not is_dataclass(value) or isinstance(value, type):
        raise TypeError(f"{value!r} is not a dataclass value")
    return {name: as_json(getattr(value, name)) for name in _names(type(value))}


def as_json(value: object) -> Json:
    """`value` as JSON; raises TypeError for a type that the core does not use."""
    match value:
        case None | bool() | int() | str():
            return value
        case float():
            return value if math.isfinite(value) else _name_of(value)
        case Decimal():
            return f"{value:f}"
        case Fraction():
            return str(value)
        case timedelta():
            ms = value / _MS
            return int(ms) if ms.is_integer() else ms
        case date():
            return value.isoformat()
        case Enum():
            return as_json(value.value)
        case Mapping():
            return {str(key): as_json(each) for key, each in value.items()}
        case Sequence():
            return [as_json(each) for each in value]
    return {KIND: kind_of(value), **fields_of(value)}


def value_from(kind: type[_T], found: Mapping[str, Json]) -> _T:
    """The dataclass value of this type whose `fields_of` are `found`; raises NotReadable.

    A field that has a default may be missing: an older version did not know it yet.
    Raises TypeError where the type itself cannot be told apart on the record.
    """
    known: Any = kind  # mypy takes no type for something that can be hashed
    hints: dict[str, Any] = _hints(known)
    odd = ", ".join(sorted((found.keys() ^ hints.keys()) - (_optional(known) - found.keys())))
    if odd:
        raise NotReadable(f"'{kind_named(kind)}' has fields that are missing or unknown: {odd}")
    try:
        return kind(**{name: _value(found[name], hints[name]) for name in hints if name in found})
    except (ValueError, ArithmeticError) as error:
        raise NotReadable(f"'{kind_named(kind)}': {error}") from error


def _value(found: Json, hint: Any) -> Any:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        return _value(found, _member(found, hint))
    if _shape(found) not in _shapes(hint):
        raise NotReadable(f"{found!r} is no {getattr(hint, '__name__', hint)}")
    if isinstance(found, list):
        return _listed(found, origin, get_args(hint))
    if isinstance(found, dict):
        if is_dataclass(hint):
            kind = _as_type(hint)
            if found.get(KIND) != kind_named(kind):
                raise NotReadable(f"{found.get(KIND)!r} is not the kind '{kind_named(kind)}'")
            return value_from(kind, {name: found[name] for name in found if name != KIND})
        return {key: _value(each, get_args(hint)[1]) for key, each in found.items()}
    if hint is float:
        assert isinstance(found, str | int | float)
        return _float(found)
    if hint is timedelta:
        assert isinstance(found, int | float)
        return timedelta(milliseconds=found)
    if hint is int:
        assert isinstance(found, int)
        if abs(found) > LARGEST_WHOLE:
            raise NotReadable("a whole number beyond 2^53 - 1, which no run writes")
    if hint in (Decimal, Fraction):
        if len(str(found)) > _MOST_FIGURES:
            raise NotReadable(f"a {hint.__name__} of more than {_MOST_FIGURES} figures")
        # One with an exponent can be too large for any memory, and is never written.
        if not _PLAIN_NUMBER.fullmatch(str(found)):
            raise NotReadable(f"{found!r} is no {hint.__name__} in plain figures")
        return hint(found)
    if hint in (date, datetime):
        return hint.fromisoformat(found)
    return found if hint in (type(None), bool, int, str) else hint(found)


def _float(found: str | int | float) -> float:
    if not isinstance(found, str):
        return float(found)
    if found not in _NOT_FINITE:
        raise NotReadable(f"{found!r} is no number")
    return _NOT_FINITE[found]


def _listed(found: list[Json], origin: Any, hints: tuple[Any, ...]) -> Any:
    if origin is tuple and hints[-1] is not Ellipsis:
        if len(found) != len(hints):
            raise NotReadable(f"{found!r} does not have {len(hints)} members")
        return tuple(_value(each, hint) for each, hint in zip(found, hints, strict=True))
    return origin(_value(each, hints[0]) for each in found)


def _member(found: Json, union: Any) -> Any:
    """The member of a union that `found` is: by its kind, or by what JSON can tell apart."""
    fitting = [hint for hint in get_args(union) if _shape(found) in _shapes(hint)]
    if isinstance(found, dict):
        fitting = [
            hint
            for hint in fitting
            if not is_dataclass(hint) or found.get(KIND) == kind_named(_as_type(hint))
        ]
    if len(fitting) > 1:
        raise TypeError(f"on the record, the members of {union} cannot be told apart")
    if not fitting:
        raise NotReadable(f"{found!r} is none of {union}")
    return fitting[0]


def _as_type(hint: Any) -> type:
    assert isinstance(hint, type)
    return hint


def _shape(found: Json) -> str:
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
def _shapes(hint: Any) -> frozenset[str]:
    """What a value of this type can look like in JSON; raises TypeError for an unknown type."""
    origin = get_origin(hint) or hint
    if hint is type(None):
        return frozenset({"null"})
    if is_dataclass(hint):
        return frozenset({"object"})
    if isinstance(origin, type):
        if issubclass(origin, Enum):
            return frozenset({_shape(as_json(each)) for each in origin})
        for kinds, shapes in _SHAPES:
            if issubclass(origin, kinds):
                return frozenset(shapes)
    raise TypeError(f"the record has no form for {hint}")


_SHAPES: tuple[tuple[tuple[type, ...], set[str]], ...] = (
    ((bool,), {"bool"}),
    ((int,), {"whole"}),
    # A double that is whole is written without a point (RFC 8785, 3.2.2.3).
    ((float,), {"whole", "number", "text"}),
    ((timedelta,), {"whole", "number"}),
    ((str, Decimal, Fraction, date), {"text"}),
    ((tuple, list), {"list"}),
    ((Mapping,), {"object"}),
)


def _name_of(value: float) -> str:
    return next(name for name, each in _NOT_FINITE.items() if repr(each) == repr(value))


@lru_cache(maxsize=256)
def _kind(each: Any) -> str:
    return _CAPITAL.sub("-", each.__name__).lower()


@lru_cache(maxsize=256)
def _names(each: Any) -> tuple[str, ...]:
    return tuple(field.name for field in fields(each))


@lru_cache(maxsize=256)
def _optional(each: Any) -> frozenset[str]:
    return frozenset(
        field.name
        for field in fields(each)
        if field.default is not MISSING or field.default_factory is not MISSING
    )


@lru_cache(maxsize=256)
def _hints(each: Any) -> dict[str, Any]:
    hints = get_type_hints(each)
    return {name: hints[name] for name in _names(each)}
