"""Whose seals a supervisor believes: a list of keys with their owners, in one readable file.

A seal proves that the holder of a key had a record. Whose key it is, a person must know from its
owner; this list is where they write that down once, with what the owner may seal and when.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Annotated

from pydantic import AfterValidator, Field, ValidationError

from handsfree.errors import HandsfreeError
from handsfree.files.whole import replace_file
from handsfree.record.entries import read_utc
from handsfree.record.seal import Seal
from handsfree.task.file_model import FileModel, IsoDate, wrong
from handsfree.task.invalid import problems_of
from handsfree.task.problems import TaskFileError
from handsfree.task.source import read_source

_HEAD = (
    "# Whose seals handsfree believes. 'handsfree keys trust' and 'keys revoke' write this file\n"
    "# anew; it can be changed by hand too, but such comments are not kept.\n"
)
_KEY = re.compile("[0-9a-f]{64}")


class TrustedKeysError(TaskFileError):
    """A list of trusted keys that cannot be used. Holds every problem found."""


class TrustedKeysNotWritten(HandsfreeError):
    """The list cannot be changed so."""

    exit_code = 2

    def __init__(self, path: Path, why: str, instead: str) -> None:
        super().__init__(f"{path}: {why}. {instead}.")


@dataclass(frozen=True, slots=True)
class TrustedKey:
    """One key, and whose it is."""

    name: str
    role: str
    key: str  # the public key, in hexadecimal
    valid_from: date | None = None  # the first day on which it counts; None: any
    valid_until: date | None = None  # the last day; None: any
    revoked: date | None = None  # from this day on somebody else may have it

    def why_not(self, seal: Seal, stamped: datetime | None) -> str | None:
        """Why a seal of this key is not believed; None: it is.

        `stamped` is when an authority saw the seals, UTC. The time in a seal is that of its maker's
        clock, so for a revoked key it tells nothing: whoever has the key can write any time.
        """
        if seal.by != self.name:
            return f"it calls itself {seal.by}, and the key is that of {self.name}"
        return self.why_not_at(seal.utc, stamped, "seal")

    def why_not_at(self, utc: str, stamped: datetime | None, what: str) -> str | None:
        """Why nothing that this key signed at that time is believed; None: it is.

        `what` is the name of what was signed.
        """
        try:
            day = read_utc(utc).date()
        except ValueError:
            return f"its time '{utc}' is none"
        if self.valid_from is not None and day < self.valid_from:
            return f"it was made on {day}, and the key counts from {self.valid_from}"
        if self.valid_until is not None and day > self.valid_until:
            return f"it was made on {day}, and the key counted until {self.valid_until}"
        if self.revoked is not None and (stamped is None or stamped.date() >= self.revoked):
            return (
                f"the key was revoked on {self.revoked}, and no time stamp that was checked shows "
                f"that the {what} is older"
            )
        return None


@dataclass(frozen=True, slots=True)
class Trusted:
    """The keys that are believed."""

    keys: tuple[TrustedKey, ...]

    def why_not(self, seal: Seal, stamped: datetime | None) -> str | None:
        """Why a seal is not believed; None: it is."""
        known = self.of(seal.key)
        if known is None:
            return "its key is not among those that you trust"
        return known.why_not(seal, stamped)

    def owner_of(self, seal: Seal, stamped: datetime | None) -> TrustedKey | None:
        """Whose seal it is, where it is believed."""
        return self.of(seal.key) if self.why_not(seal, stamped) is None else None

    def of(self, key: str) -> TrustedKey | None:
        """Whose key it is, whether what it signs is believed or not."""
        return next((each for each in self.keys if each.key == key), None)

    def with_key(self, added: TrustedKey, path: Path) -> "Trusted":
        """The list with one more key; raises TrustedKeysNotWritten where it is there already."""
        for each in self.keys:
            if each.key == added.key:
                why = f"the key of {each.name} is there already, as {each.role}"
                raise TrustedKeysNotWritten(path, why, "Change its entry in the file")
        if not _KEY.fullmatch(added.key):
            raise TrustedKeysNotWritten(path, "that is no key", "Name 64 figures, or a PEM file")
        if not all(each.strip() and each.isprintable() for each in (added.name, added.role)):
            raise TrustedKeysNotWritten(
                path,
                "a name or a role is empty, or has what cannot be seen",
                "Write it in one line",
            )
        return Trusted((*self.keys, added))

    def without(self, which: str, day: date, path: Path) -> "Trusted":
        """The list with the keys of a name, or one key, revoked; raises TrustedKeysNotWritten."""
        revoked = [each for each in self.keys if which in (each.name, each.key)]
        if not revoked:
            known = ", ".join(each.name for each in self.keys) or "nobody"
            raise TrustedKeysNotWritten(
                path, f"there is no key of '{which}'", f"It has keys of: {known}"
            )
        return Trusted(
            tuple(replace(each, revoked=day) if each in revoked else each for each in self.keys)
        )


def _one_line(text: str) -> str:
    if not text.strip() or not text.isprintable():
        raise wrong("the text is empty, or has what cannot be seen", "Write it in one line")
    return text


def _public_key(text: str) -> str:
    if not _KEY.fullmatch(text):
        raise wrong(f"'{text}' is no public key", "Write its 64 figures, 0 to 9 and a to f")
    return text


_Line = Annotated[str, AfterValidator(_one_line)]


class _Entry(FileModel):
    name: _Line
    role: _Line
    key: Annotated[str, AfterValidator(_public_key)]
    valid_from: IsoDate | None = Field(None, alias="from")
    valid_until: IsoDate | None = Field(None, alias="until")
    revoked: IsoDate | None = None


class _List(FileModel):
    keys: tuple[_Entry, ...]


def read_trusted(text: str, name: str) -> Trusted:
    """The list of a file; `name` is how errors call it. Raises TrustedKeysError."""
    try:
        source = read_source(text, name)
        found = _List.model_validate(source.value)
    except ValidationError as error:
        raise TrustedKeysError(name, problems_of(error, source)) from error
    except TaskFileError as error:
        raise TrustedKeysError(name, error.problems) from error
    twice = [
        source.problem(
            ("keys", at, "key"),
            f"the key of {each.name} is that of {found.keys[first].name} too",
            "Keep one of them",
        )
        for at, each in enumerate(found.keys)
        if (first := next(n for n, other in enumerate(found.keys) if other.key == each.key)) != at
    ]
    if twice:
        raise TrustedKeysError(name, twice)
    return Trusted(
        tuple(
            TrustedKey(
                each.name, each.role, each.key, each.valid_from, each.valid_until, each.revoked
            )
            for each in found.keys
        )
    )


def as_text(trusted: Trusted) -> str:
    """The list as its file has it."""
    import yaml

    entries = [
        {
            name: each
            for name, each in (
                ("name", key.name),
                ("role", key.role),
                ("key", key.key),
                ("from", _day(key.valid_from)),
                ("until", _day(key.valid_until)),
                ("revoked", _day(key.revoked)),
            )
            if each is not None
        }
        for key in trusted.keys
    ]
    return _HEAD + yaml.safe_dump({"keys": entries}, sort_keys=False, allow_unicode=True)


def write_trusted(path: Path, trusted: Trusted) -> None:
    """Put the list in its file at one stroke; raises TrustedKeysNotWritten."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        replace_file(path, as_text(trusted).encode())
    except OSError as error:
        why = f"cannot be written ({error.strerror or error})"
        raise TrustedKeysNotWritten(path, why, "Name another file with --trusted") from error


def told(keys: Iterable[TrustedKey]) -> list[str]:
    """Each key on a line, for a person."""
    return [
        f"{each.name}, {each.role}: {each.key}"
        f"{_bound(' from ', each.valid_from)}{_bound(' until ', each.valid_until)}"
        f"{_bound(', REVOKED on ', each.revoked)}"
        for each in keys
    ]


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _bound(word: str, day: date | None) -> str:
    return "" if day is None else f"{word}{day}"
