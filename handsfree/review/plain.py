"""Any part of a task file in one line, for what has no words of its own yet."""

from collections.abc import Iterable, Set
from decimal import Decimal

from handsfree.task.file_model import FileModel
from handsfree.visible import visible


def further(part: FileModel, known: Set[str]) -> tuple[str, ...]:
    """The keys that are given and not `known`, each as "key: value"."""
    given = part.model_fields_set - known
    # In the order of the model, so that a sheet never changes from one run to the next.
    names = [name for name in type(part).model_fields if name in given]
    return seen(f"{name}: {plain(getattr(part, name))}" for name in names)


def seen(texts: Iterable[str]) -> tuple[str, ...]:
    """Each text as it is safe to show on one line."""
    return tuple(map(visible, texts))


def by_keys(part: FileModel) -> str:
    """The keys that are given, and their values."""
    return ", ".join(
        f"{field.alias or name} {_inner(getattr(part, name))}"
        for name, field in type(part).model_fields.items()
        if name in part.model_fields_set and getattr(part, name) is not None
    )


def plain(value: object) -> str:
    """A value of a task file, without the marks of a programming language."""
    match value:
        case FileModel():
            has_own_words = type(value).__str__ is not FileModel.__str__
            return str(value) if has_own_words else by_keys(value)
        case dict():
            return ", ".join(f"{key} {_inner(each)}" for key, each in value.items())
        case list() | tuple():
            return "; ".join(map(plain, value))
        case Decimal():
            return f"{value:f}"
    return str(value)


def _inner(value: object) -> str:
    return f"({plain(value)})" if isinstance(value, dict | FileModel) else plain(value)
