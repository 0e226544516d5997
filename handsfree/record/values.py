"""Values of the core as JSON, and back.

What is written is read back as it was: a dataclass is an object that names its kind, a `Decimal`
and a fraction are text, because a JSON number is a double (RFC 8785, 3.2.2.3), a number that is not
finite is the text "Infinity", "-Infinity" or "NaN", and a length of time is a number of ms. Which
types there are is read from the annotations, so a new entry or event needs no word here.
"""

import math
import re
import types
from collections.abc import Callable, Mapping, Sequence
from dataclasses import MISSING, fields, is_dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from typing import Any, TypeAlias, TypeVar, Union, get_args, get_origin, get_type_hints

from handsfree.record.shapes import shape_of, shapes_of

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
    readers = _readers(known)
    if found.keys() != readers.keys():
        odd = ", ".join(sorted((found.keys() ^ readers.keys()) - (_optional(known) - found.keys())))
        if odd:
            raise NotReadable(f"'{kind_named(kind)}' has fields that are missing or unknown: {odd}")
    try:
        return kind(**{name: readers[name](found[name]) for name in readers if name in found})
    except (ValueError, ArithmeticError) as error:
        raise NotReadable(f"'{kind_named(kind)}': {error}") from error


_Reader: TypeAlias = "Callable[[Any], Any]"


@lru_cache(maxsize=256)
def _readers(each: Any) -> dict[str, _Reader]:
    """By the name of each field what reads it. Of many thousand entries, all are of a few kinds."""
    hints = get_type_hints(each)
    return {name: _reader(hints[name]) for name in _names(each)}


@lru_cache(maxsize=1024)
def _reader(hint: Any) -> _Reader:
    """What makes a value of this type of JSON; raises TypeError for an unknown type."""
    if get_origin(hint) in (Union, types.UnionType):
        return _reader_of_union(hint)
    shapes, name = shapes_of(hint), getattr(hint, "__name__", hint)
    of_shape = _reader_of_shape(hint)

    def read(found: Any) -> Any:
        if shape_of(found) not in shapes:
            raise NotReadable(f"{found!r} is no {name}")
        return of_shape(found)

    return read


def _reader_of_union(union: Any) -> _Reader:
    shapes = [(hint, shapes_of(hint)) for hint in get_args(union)]
    alone: dict[str, Any] = {}  # where the shape tells the member, without a look at its kind
    for shape in frozenset().union(*(each for _, each in shapes)) - {"object"}:
        fitting = [hint for hint, each in shapes if shape in each]
        if len(fitting) == 1:
            alone[shape] = fitting[0]

    def read(found: Any) -> Any:
        member = alone.get(shape_of(found))
        return _reader(_member(found, union) if member is None else member)(found)

    return read


def _reader_of_shape(hint: Any) -> _Reader:
    """What reads JSON that has the shape of the type already."""
    origin, inside = get_origin(hint), get_args(hint)
    if is_dataclass(hint):
        kind = _as_type(hint)
        return lambda found: _dataclass_value(kind, found)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        of_value = _reader(inside[1])
        return lambda found: {key: of_value(each) for key, each in found.items()}
    if origin is not None:
        return _reader_of_list(origin, inside)
    if hint is float:
        return _float
    if hint is int:
        return _whole
    if hint is timedelta:
        return lambda found: timedelta(milliseconds=found)
    if hint in (Decimal, Fraction):
        return lambda found: _exact(hint, found)
    if hint in (date, datetime):
        from_text: _Reader = hint.fromisoformat
        return from_text
    as_it_is: _Reader = (lambda found: found) if hint in (type(None), bool, str) else hint
    return as_it_is


def _dataclass_value(kind: type[_T], found: JsonObject) -> _T:
    if found.get(KIND) != kind_named(kind):
        raise NotReadable(f"{found.get(KIND)!r} is not the kind '{kind_named(kind)}'")
    return value_from(kind, {name: found[name] for name in found if name != KIND})


def _reader_of_list(origin: Any, hints: tuple[Any, ...]) -> _Reader:
    readers = [_reader(each) for each in hints if each is not Ellipsis]
    if origin is tuple and hints[-1] is not Ellipsis:

        def read(found: Any) -> Any:
            if len(found) != len(readers):
                raise NotReadable(f"{found!r} does not have {len(readers)} members")
            return tuple(of(each) for each, of in zip(found, readers, strict=True))

        return read
    [of_each] = readers
    return lambda found: origin(map(of_each, found))


def _whole(found: int) -> int:
    if abs(found) > LARGEST_WHOLE:
        raise NotReadable("a whole number beyond 2^53 - 1, which no run writes")
    return found


def _exact(hint: Any, found: str) -> Any:
    if len(found) > _MOST_FIGURES:
        raise NotReadable(f"a {hint.__name__} of more than {_MOST_FIGURES} figures")
    # One with an exponent can be too large for any memory, and is never written.
    if not _PLAIN_NUMBER.fullmatch(found):
        raise NotReadable(f"{found!r} is no {hint.__name__} in plain figures")
    return hint(found)


def _float(found: str | int | float) -> float:
    if not isinstance(found, str):
        return float(found)
    if found not in _NOT_FINITE:
        raise NotReadable(f"{found!r} is no number")
    return _NOT_FINITE[found]


def _member(found: Json, union: Any) -> Any:
    """The member of a union that `found` is: by its kind, or by what JSON can tell apart."""
    fitting = [hint for hint in get_args(union) if shape_of(found) in shapes_of(hint)]
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
