"""A YAML text as plain values, with the place of each one.

Every scalar stays the text that the author wrote: a number becomes a `Decimal` from its own
figures, never through a float, and `on`, `off` and `no` stay words. Anchors are refused, which
also rules out files that grow without bound when they are read.
"""

from dataclasses import dataclass, field
from typing import Any

import yaml

from handsfree.task.problems import Problem, TaskFileError

LARGEST_CHARACTERS = 1_000_000
_DEEPEST = 30

Value = str | None | list["Value"] | dict[str, "Value"]
Path = tuple[str | int, ...]
Place = tuple[int, int]  # line and column, from 1


@dataclass
class Source:
    """The values of a file and the places they were written at."""

    name: str  # how errors call the file
    value: Value = None
    places: dict[Path, Place] = field(default_factory=dict)  # of a value in a mapping: its key

    def place(self, path: Path) -> Place:
        """The place of the nearest thing at or above `path`.

        A part of `path` that names nothing in the file, as validators put in, is passed over.
        """
        return self.places.get(self.known(path), (1, 1))

    def known(self, path: Path) -> Path:
        """`path` without the parts of it that name nothing in the file."""
        known: Path = ()
        for part in path:
            if (*known, part) in self.places:
                known = (*known, part)
        return known

    def problem(self, path: Path, what: str, instead: str) -> Problem:
        """A problem at `path`."""
        return Problem(*self.place(path), what, instead, path)


class _NotPlain(Exception):
    def __init__(self, mark: Any, what: str, instead: str) -> None:
        super().__init__(what)
        self.place, self.what, self.instead = _place(mark), what, instead


class _PlainLoader(yaml.SafeLoader):
    """Stops at what a task never needs, before anything of it or after it is built."""

    _depth = 0

    def compose_node(self, parent: yaml.Node | None, index: Any) -> yaml.Node | None:
        event = self.peek_event()  # type: ignore[no-untyped-call] # yaml has no types here
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            what = "anchors and aliases (& and *) are not allowed"
            raise _NotPlain(event.start_mark, what, "Write the value out")
        if self._depth > _DEEPEST:
            what = f"nested deeper than {_DEEPEST} levels"
            raise _NotPlain(event.start_mark, what, "It need never be that deep")
        self._depth += 1
        node = super().compose_node(parent, index)
        self._depth -= 1
        return node


def read_source(text: str, name: str, what: str = "a task") -> Source:
    """Take `text` apart; raises TaskFileError where it is not one plain YAML document.

    `what` the file holds is how errors call it.
    """
    if len(text) > LARGEST_CHARACTERS:
        raise _refused(
            name,
            (1, 1),
            f"the file has {len(text):,} characters",
            f"{what.capitalize()} has at most {LARGEST_CHARACTERS:,}",
        )
    try:
        root = yaml.compose(text, Loader=_PlainLoader)
    except _NotPlain as error:
        raise _refused(name, error.place, error.what, error.instead) from error
    except yaml.MarkedYAMLError as error:
        raise _refused(
            name,
            _place(error.problem_mark or error.context_mark),
            f"not YAML: {error.problem}",
            "Mend the line or its indent",
        ) from error
    except yaml.reader.ReaderError as error:
        raise _refused(
            name,
            (text.count("\n", 0, error.position) + 1, 1),
            f"a character that YAML does not allow: U+{ord(text[error.position]):04X}",
            "Delete it",
        ) from error
    if root is None:
        raise _refused(name, (1, 1), "the file is empty", f"Write {what} in it")
    source = Source(name)
    source.value = _value(root, (), source)
    return source


def _place(mark: Any) -> Place:  # yaml has two Mark classes that share no base
    return (mark.line + 1, mark.column + 1) if mark else (1, 1)


def _refused(name: str, place: Place, what: str, instead: str) -> TaskFileError:
    return TaskFileError(name, [Problem(*place, what, instead)])


def _refuse_half(text: str, place: Place, source: Source) -> None:
    """An escape in quotes can name half a surrogate pair, which no file and no voice can take."""
    for each in text:
        if "\ud800" <= each <= "\udfff":
            what = f"half a character: U+{ord(each):04X}"
            raise _refused(source.name, place, what, "Write the character itself, or delete it")


def _value(node: yaml.Node, path: Path, source: Source) -> Value:
    place = _place(node.start_mark)
    if isinstance(node, yaml.ScalarNode):
        _refuse_half(node.value, place, source)
    source.places.setdefault(path, place)
    if isinstance(node, yaml.MappingNode):
        return _mapping(node, path, source)
    if isinstance(node, yaml.SequenceNode):
        return [_value(each, (*path, at), source) for at, each in enumerate(node.value)]
    plain = isinstance(node, yaml.ScalarNode) and node.style is None
    return None if plain and node.value in ("", "~", "null") else str(node.value)


def _mapping(node: yaml.MappingNode, path: Path, source: Source) -> dict[str, Value]:
    values: dict[str, Value] = {}
    for key_node, value_node in node.value:
        place = _place(key_node.start_mark)
        if not isinstance(key_node, yaml.ScalarNode):
            raise _refused(source.name, place, "a key is not plain text", "Write a name")
        key = str(key_node.value)
        _refuse_half(key, place, source)
        if key in values:
            first = source.place((*path, key))[0]
            raise _refused(
                source.name,
                place,
                f"key '{key}' is written twice, first in line {first}",
                "Keep one of them",
            )
        source.places[(*path, key)] = place
        values[key] = _value(value_node, (*path, key), source)
    return values
