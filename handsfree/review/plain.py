"""Any part of a task file in one line, for what has no words of its own yet."""

from decimal import Decimal

from handsfree.task.file_model import FileModel


def by_keys(part: FileModel) -> str:
    """The keys that are given, and their values."""
    return plain(part.model_dump(exclude_none=True, exclude_defaults=True, by_alias=True))


def plain(value: object) -> str:
    """A value of a task file, without the marks of a programming language."""
    match value:
        case FileModel():
            return by_keys(value)
        case dict():
            return ", ".join(f"{key} {_inner(each)}" for key, each in value.items())
        case list() | tuple():
            return "; ".join(map(plain, value))
        case Decimal():
            return f"{value:f}"
    return str(value)


def _inner(value: object) -> str:
    return f"({plain(value)})" if isinstance(value, dict | FileModel) else plain(value)
