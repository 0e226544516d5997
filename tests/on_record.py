"""What stands in records, form by form, so that those of earlier versions stay readable.

A field or a value that is called otherwise is not found in an older record, and a default says what
is read where an older version did not write the field yet. Each of the folders `words`, `task`,
`engine` and `record` keeps the forms of its own in `tests/FOLDER/on_record.txt`. A line that
changes or is gone there is a record that nobody can read any more; a new line is none. To write
them all anew, run this file as a module, and read the difference before you keep it.
"""

import re
import sys
from collections.abc import Iterator
from dataclasses import MISSING, Field, fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any, get_args, get_type_hints

from handsfree.engine.effects import Say
from handsfree.engine.entries import Entry
from handsfree.engine.events import Event
from handsfree.record.marks import Mark
from handsfree.record.values import as_json, kind_named

FOLDERS = ("words", "task", "engine", "record")
KINDS: tuple[type, ...] = (*get_args(Entry), *get_args(Event), *get_args(Mark), Say)


def kept(folder: str) -> Path:
    """The file that holds the forms of this folder."""
    return Path(__file__).parent / folder / "on_record.txt"


def forms(folder: str) -> str:
    """The types of this folder that stand in a record, by name, each with all it holds."""
    found: set[type] = set()
    for each in KINDS:
        _gather(each, found)
    of_folder = [each for each in found if each.__module__.startswith(f"handsfree.{folder}.")]
    ordered = sorted(of_folder, key=lambda each: each.__name__)
    return "\n\n".join("\n".join(_lines(each)) for each in ordered) + "\n"


def _gather(hint: Any, found: set[type]) -> None:
    if isinstance(hint, type) and hint not in found:
        if issubclass(hint, Enum):
            found.add(hint)
        elif is_dataclass(hint):
            found.add(hint)
            for each in get_type_hints(hint).values():
                _gather(each, found)
    for each in get_args(hint):
        _gather(each, found)


def _lines(each: type) -> Iterator[str]:
    yield kind_named(each)
    if issubclass(each, Enum):
        yield from (f"  {member.value!r}" for member in each)
    elif is_dataclass(each):
        hints = get_type_hints(each)
        yield from (
            f"  {one.name}: {_named(hints[one.name])}{_default(one)}" for one in fields(each)
        )


def _named(hint: Any) -> str:
    name = hint.__name__ if isinstance(hint, type) and not get_args(hint) else str(hint)
    return re.sub(r"\b(?:\w+\.)+(?=\w)", "", name)


def _default(one: "Field[Any]") -> str:
    if one.default_factory is not MISSING:
        return f" = {as_json(one.default_factory())!r}"
    return "" if one.default is MISSING else f" = {as_json(one.default)!r}"


def main() -> int:
    """Write the forms of all folders anew."""
    for folder in FOLDERS:
        kept(folder).write_text(forms(folder), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
