"""The commands of the networks of two layers: make sounds, keep what was heard, fit to it."""

import argparse
from collections.abc import Sequence
from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import numpy as np
from one_voice_data import Person, people, voices

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

STRANGERS = ("s1", "s2")  # of the digits; s3 is for reporting

_HERE = Path(__file__).resolve().parent
_REPOSITORY = _HERE.parents[1]
_Kept = TypeVar("_Kept", bound="DataclassInstance")


def asked(what: str, model: str) -> argparse.Namespace:
    """What the command line of the script for `model` asks; `what` it does, in a line."""
    parser = argparse.ArgumentParser(description=what)
    parser.add_argument("what", choices=("make", "fit"))
    parser.add_argument("--recordings", type=Path, default=_REPOSITORY.parent / "shared/data")
    parser.add_argument("--reader", type=Path, default=_REPOSITORY / "models/reader")
    parser.add_argument("--cache", type=Path, default=_HERE / ".cache" / model)
    parser.add_argument("--voices", type=Path, help="synthetic people, instead of recorded ones")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--number", type=int, default=1600)
    parser.add_argument("--out", type=Path, default=_REPOSITORY / "models" / model)
    parser.add_argument("--held-out", action="store_true")
    return parser.parse_args()


def cast_of(chosen: argparse.Namespace) -> list[Person]:
    """Whoever speaks."""
    if chosen.voices:
        return voices(chosen.voices)
    return people(chosen.recordings, "tuning", STRANGERS)


def keep(made: "DataclassInstance", chosen: argparse.Namespace) -> None:
    """Write the arrays of `made` into the cache, as the file of its seed."""
    chosen.cache.mkdir(parents=True, exist_ok=True)
    arrays = {each.name: getattr(made, each.name) for each in fields(made)}
    np.savez(chosen.cache / f"{chosen.seed}.npz", **arrays)


def kept(kind: type[_Kept], cache: Path) -> _Kept:
    """All that lies in the cache, as one."""
    parts = []
    for path in sorted(cache.glob("*.npz")):
        with np.load(path) as arrays:
            parts.append(kind(**arrays))
    return together(parts)


def together(parts: Sequence[_Kept]) -> _Kept:
    """All of `parts`, which are of one kind and hold arrays only, as one."""
    names = [each.name for each in fields(parts[0])]
    arrays = (np.concatenate([getattr(each, name) for each in parts]) for name in names)
    return type(parts[0])(*arrays)
