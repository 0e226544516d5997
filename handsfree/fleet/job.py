"""One pure piece of work, and the name that its content gives it."""

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from enum import Enum
from typing import Generic, TypeVar

import numpy as np

Given = TypeVar("Given")
Found = TypeVar("Found")


@dataclass(frozen=True, slots=True)
class Job(Generic[Given, Found]):
    """A function, and what it is given.

    `do` is a function of a module, so that a worker finds it by its name, and pure: from equal
    `given` follows an equal result, on any day and any machine. `given` is data: a frozen dataclass
    of text, bytes, numbers, tuples and the like. Whatever the result depends on is in it, also the
    seed and which model is listened with.
    """

    do: Callable[[Given], Found]
    given: Given

    @property
    def key(self) -> str:
        """SHA-256 over what the job is, in hexadecimal; raises TypeError where it is not data."""
        return content_key((self.do.__module__, self.do.__qualname__, self.given))


def content_key(value: object) -> str:
    """SHA-256 over a value of plain data, in hexadecimal: equal content gives an equal key.

    Of a dataclass its type and its fields count, and no more. Raises TypeError for what is no data.
    """
    digest = hashlib.sha256()
    for part in _parts(value):
        digest.update(part)
    return digest.hexdigest()


_AS_WRITTEN = (bool, int, float, Decimal, type(None), timedelta, date, datetime)


def _parts(value: object) -> Iterator[bytes]:
    """The value as bytes that no other value has: each part with its type and its length."""
    kind = f"{type(value).__module__}.{type(value).__qualname__}"
    match value:
        case Enum():
            yield from _framed(kind, value.name.encode())
        case str():
            yield from _framed("str", value.encode("utf-8", "surrogatepass"))
        case bytes():
            yield from _framed("bytes", value)
        case np.ndarray() if value.dtype != object:
            yield from _framed(f"array {value.dtype.str} {value.shape}", value.tobytes())
        case tuple() | list():
            yield from _framed(f"sequence {len(value)}", b"")
            for each in value:
                yield from _parts(each)
        case dict():
            yield from _framed(f"mapping {len(value)}", b"")
            for name in sorted(value):
                yield from _parts(name)
                yield from _parts(value[name])
        case frozenset():
            yield from _framed(f"set {len(value)}", b"".join(sorted(map(_key_bytes, value))))
        case _ if is_dataclass(value) and not isinstance(value, type):
            yield from _framed(kind, b"")
            for field in fields(value):
                yield from _parts(field.name)
                yield from _parts(getattr(value, field.name))
        case _ if isinstance(value, _AS_WRITTEN):
            yield from _framed(kind, repr(value).encode())
        case _:
            raise TypeError(f"a job is described by data, and a {kind} is none")


def _framed(kind: str, content: bytes) -> tuple[bytes, bytes]:
    return f"{kind}:{len(content)}:".encode(), content


def _key_bytes(value: object) -> bytes:
    return bytes.fromhex(content_key(value))
