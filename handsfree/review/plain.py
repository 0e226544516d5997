"""Any part of a task file in one line, for what has no words of its own yet."""

from decimal import Decimal

from handsfree.task.file_model import FileModel


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
