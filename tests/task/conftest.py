"""What holds of every problem that any of these tests has told."""

from collections.abc import Iterator
from functools import cache
from itertools import chain

import pytest

from handsfree.task.course import DONE
from handsfree.task.file_model import FileModel
from handsfree.task.problems import Problem
from handsfree.task.source import Path, Source


def _models(model: type[FileModel]) -> Iterator[type[FileModel]]:
    yield model
    for each in model.__subclasses__():
        yield from _models(each)


@cache
def _keys() -> set[str]:
    """Every key that a file can have, but for the names that an author gives."""
    fields = chain.from_iterable(each.model_fields.items() for each in _models(FileModel))
    return {field.alias or name for name, field in fields}


@pytest.fixture(autouse=True)
def every_place_exists(monkeypatch: pytest.MonkeyPatch) -> None:
    """A problem is told at something that is written, or at a key that could be.

    Where a path names nothing, the nearest thing above it is told: that is near, and so a mistake
    in a path would be seen by nobody.
    """
    tell = Source.problem

    def problem(self: Source, path: Path, what: str, instead: str) -> Problem:
        keys = _keys()
        known: Path = ()
        for at, part in enumerate(path):
            if (*known, part) in self.places:
                known = (*known, part)
                continue
            # Where a value may be of several kinds, validators put in the name of one, in words;
            # where the key itself is wrong, "[key]".
            is_kind = isinstance(part, str) and (" " in part or part == "[key]")
            is_way_out = path[at - 1 : at + 1] == ("then", DONE)
            can_be = part in keys or is_kind or is_way_out or isinstance(part, int)
            assert can_be, (path, part)
        return tell(self, path, what, instead)

    monkeypatch.setattr(Source, "problem", problem)
