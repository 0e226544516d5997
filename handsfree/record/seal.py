"""The seal: who vouches for a record, up to which entry, since when.

`seal.json` holds the first and the newest seal of each key that sealed the record; the first shows
since which entry nobody without that key could make the log again. A seal signs, with Ed25519
(RFC 8032), the SHA-256 of the last line of the log; through the chain that covers every line before
it, and with them the hashes of the clips and of the task file. The file is canonical JSON (RFC
8785), so no byte of it is free.

What a seal proves: the holder of the key had just this record. What it does not: that the name in
it is true (compare the key with one that you have from its owner), that the time in it is true (it
is the clock of the tool; a time stamp of RFC 3161 tells more), or that nothing came after it: who
kept an older seal can cut the record back to it, and who has the key can make any record.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import msgspec
import rfc8785

from handsfree.errors import HandsfreeError
from handsfree.files.plain import plain_bytes
from handsfree.record.entries import NOT_JSON
from handsfree.record.files import Files, put
from handsfree.record.keys import Keys, is_signed
from handsfree.record.values import NotReadable, fields_of, value_from

SEAL = "seal.json"
PURPOSE = "handsfree record seal, version 1"


class SealUnreadable(HandsfreeError):
    """The file with the seals is not one."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(
            f"{path}: is not a seal as handsfree writes it ({why}). It was changed or damaged; get "
            "the one that was kept apart from the record."
        )


@dataclass(frozen=True, slots=True)
class Seal:
    """One person's seal."""

    by: str
    entries: int  # how many entries it covers, from the first
    head: str  # SHA-256 of the last of them
    key: str  # the public key
    purpose: str  # what is signed, so that no signature for another use passes for a seal
    signature: str
    utc: str

    @property
    def signed(self) -> bytes:
        """What the signature is over: all the rest, as canonical JSON."""
        return rfc8785.dumps(
            {name: each for name, each in fields_of(self).items() if name != "signature"}
        )

    @property
    def holds(self) -> bool:
        """Whether the signature is that of the key over this seal."""
        return self.purpose == PURPOSE and is_signed(self.signed, self.signature, self.key)


@dataclass(frozen=True, slots=True)
class Seals:
    """All seals of a record, oldest first."""

    seals: tuple[Seal, ...]


def sign(keys: Keys, entries: int, head: str, utc: str) -> Seal:
    """Vouch for the first `entries` entries, whose last line has the SHA-256 `head`."""
    unsigned = Seal(keys.name, entries, head, keys.public, PURPOSE, "", utc)
    return replace(unsigned, signature=keys.sign(unsigned.signed))


def add(seals: tuple[Seal, ...], seal: Seal) -> tuple[Seal, ...]:
    """All seals and this one; of its own key only the first stays beside it."""
    first = next((each for each in seals if each.key == seal.key), None)
    return (*(each for each in seals if each.key != seal.key or each is first), seal)


def newest(seals: Iterable[Seal]) -> tuple[Seal, ...]:
    """Of each key the last of its seals, which covers most; oldest first."""
    found: dict[str, Seal] = {}
    for each in seals:
        found.pop(each.key, None)
        found[each.key] = each
    return tuple(found.values())


def read_seals(folder: Path) -> tuple[Seal, ...]:
    """The seals of a record, () without any; raises SealUnreadable. They are not checked."""
    path = folder / SEAL
    try:
        content = plain_bytes(path)
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise SealUnreadable(path, error.strerror or str(error)) from error
    try:
        seals = value_from(Seals, msgspec.json.decode(content, type=dict))
        if _written(seals.seals) != content:
            raise NotReadable("it is not canonical JSON")
    except (*NOT_JSON, NotReadable, rfc8785.CanonicalizationError) as error:
        raise SealUnreadable(path, str(error)) from error
    return seals.seals


def is_sealed(folder: Path, keys: Keys) -> bool:
    """Whether the newest seal of these keys is over as much as any; raises SealUnreadable."""
    seals = read_seals(folder)
    return bool(seals) and seals[-1].key == keys.public


def write_seals(folder: Path, seals: tuple[Seal, ...], files: Files) -> None:
    """Put the seals beside the log, at one stroke; raises OSError."""
    put(files, folder / SEAL, _written(seals))


def _written(seals: tuple[Seal, ...]) -> bytes:
    return rfc8785.dumps(fields_of(Seals(seals)))
