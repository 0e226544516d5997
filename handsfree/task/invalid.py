"""What pydantic finds wrong in a file, in words that a person can mend it by, each at its place.

Pydantic tells of the types of Python. Who writes a task knows lists and keys, so each kind of error
has words of our own here, and what has none is told without pydantic's.
"""

from collections import Counter

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from handsfree.task.file_model import OWN_ERROR
from handsfree.task.problems import Problem
from handsfree.task.repeat import marks_left
from handsfree.task.source import Path, Source

_MOST_SHOWN = 80  # characters of a wrong value

_NUMBER = ("is no number", "Write a plain number such as 12.5")
_WHOLE = ("is no whole number", "Write a whole number such as 4")
_LIST = ("a list must stand here", "Write a list: one '- ' line each, or [one, two]")
_KEYS = ("keys with values must stand here", "Write 'key: value' lines")
_DATE = ("is not a date", "Write year, month and day, such as 2031-05-04")
# By the type of pydantic's error: what is wrong, after the value where it is a text, and what to
# write. {limit} is what the context of the error holds.
_TOLD: dict[str, tuple[str, str]] = {
    "missing": ("key '{key}' is missing", "Write it"),
    "decimal_type": _NUMBER,
    "decimal_parsing": _NUMBER,
    "finite_number": _NUMBER,
    "decimal_max_digits": ("has more than {limit} figures", "Write a number that a gauge can show"),
    "decimal_max_places": ("has more than {limit} decimals", "Write fewer"),
    "int_type": _WHOLE,
    "int_parsing": _WHOLE,
    "int_from_float": _WHOLE,
    "int_parsing_size": _WHOLE,
    "greater_than": ("is not above {limit}", "Write a larger number"),
    "greater_than_equal": ("is below {limit}", "Write {limit} or more"),
    "less_than": ("is not below {limit}", "Write a smaller number"),
    "less_than_equal": ("is above {limit}", "Write {limit} or less"),
    "bool_type": ("is neither true nor false", "Write true or false"),
    "bool_parsing": ("is neither true nor false", "Write true or false"),
    "string_type": ("a text must stand here", "Write one text, in quotes where it has a colon"),
    "string_too_short": ("the text is empty", "Write some text"),
    "tuple_type": _LIST,
    "list_type": _LIST,
    "dict_type": _KEYS,
    "model_type": _KEYS,
    "model_attributes_type": _KEYS,
    "dataclass_type": _KEYS,
    "date_type": _DATE,
    "date_parsing": _DATE,
    "date_from_datetime_parsing": _DATE,
    "date_from_datetime_inexact": _DATE,
    "enum": ("is not one of {limit}", "Write one of these"),
}
_LIMITS = ("gt", "ge", "lt", "le", "max_digits", "decimal_places", "expected")


def problems_of(error: ValidationError, source: Source) -> list[Problem]:
    """What a model found wrong in a file, each at its place."""
    told = (_problem(each, source) for each in _own(error.errors(include_url=False)))
    return list(dict.fromkeys(told))  # a repeated step says the same once for each of its copies


def _own(errors: list[ErrorDetails]) -> list[ErrorDetails]:
    """Without what follows from another one.

    A list can be too short only because its items are wrong. A mark such as <bolt> stands for
    nothing where the `each` of its step is wrong, and a wrong item is in the id of its copy.
    """
    no_each = {error["loc"][:2] for error in errors if "each" in error["loc"][2:3]}
    within = Counter(
        error["loc"][:length] for error in errors for length in range(len(error["loc"]) + 1)
    )
    return [
        error
        for error in errors
        if (error["type"] != "too_short" or within[error["loc"]] == 1)
        and not (error["loc"][:2] in no_each and _follows_from_each(error))
    ]


def _follows_from_each(error: ErrorDetails) -> bool:
    return error["loc"][2:] == ("id",) or bool(marks_left(str(error["input"])))


def _problem(error: ErrorDetails, source: Source) -> Problem:
    path: Path = error["loc"]
    context = error.get("ctx", {})
    match error["type"]:
        case kind if kind == OWN_ERROR:
            at = path if context["key"] is None else (*path, context["key"])
            return source.problem(at, context["what"], context["instead"])
        case "too_short":
            fewest, given = context["min_length"], context["actual_length"]
            what = f"'{_key(source.known(path))}' has {given or 'none'}, and needs {fewest}"
            return source.problem(path, what, "Add what is missing")
        case "too_long":
            most = context["max_length"]
            what = f"'{_key(source.known(path))}' has more than {most}"
            return source.problem(path, what, "Keep one of them" if most == 1 else "Write fewer")
        case "string_pattern_mismatch" if marks := marks_left(error["input"]):
            instead = f"Add 'each: {{{marks[0][1:-1]}: [...]}}' with what it stands for"
            return source.problem(path, f"'{marks[0]}' stands for nothing here", instead)
        case "string_pattern_mismatch":
            what = f"'{_shown(error['input'])}' is not written as it must be"
            return source.problem(path, what, _form(context["pattern"]))
    what, instead = _TOLD.get(error["type"], ("cannot stand here", "Mend the value"))
    limit = next((context[each] for each in _LIMITS if each in context), "")
    what, instead = (each.format(key=_key(path), limit=limit) for each in (what, instead))
    given = error["input"]
    if isinstance(given, str) and error["type"] not in ("missing", "string_too_short"):
        what = f"'{_shown(given)}': {what}" if " must " in what else f"'{_shown(given)}' {what}"
    elif given is None and error["type"] != "missing":
        what = f"'{_key(path)}' is empty: {what}" if " must " in what else f"nothing {what}"
    return source.problem(path, what, instead)


def _key(path: Path) -> str:
    """The nearest key above: what a person calls the place."""
    return next((each for each in reversed(path) if isinstance(each, str)), "file")


def _shown(value: object) -> str:
    text = str(value)
    return text if len(text) <= _MOST_SHOWN else f"{text[:_MOST_SHOWN]}..."


def _form(pattern: str) -> str:
    if " " in pattern:
        return "Write lower case words with single spaces, as they are spoken, such as 'pin in'"
    if "A-Z" in pattern:
        return "Write capital letters, figures and hyphens, such as 'KD-2047'"
    return "Write lower case letters, figures and hyphens, such as 'bottle-pressure'"
