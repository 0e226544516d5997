"""Conditions on a state: a value, one of several values, or any value but some.

A state that is not known yet has the value "unknown". No condition holds for it, and any may.
"""

from typing import Annotated, Any, TypeAlias

from pydantic import BeforeValidator, Discriminator, Field, Tag

from handsfree.task.file_model import FileModel, Words, listed

UNKNOWN = "unknown"
"""The value of a state until a step proves it."""

ValueList = Annotated[tuple[Words, ...], Field(min_length=1)]


class Not(FileModel):
    """Any known value but these."""

    excluded: Annotated[
        ValueList,
        BeforeValidator(listed, json_schema_input_type=Words | ValueList),
        Field(alias="not"),
    ]
    """The value or the values that it must not have."""


def _form(value: Any) -> str:
    # A tag stands in the path of an error, where it must not be taken for a key of the file.
    if isinstance(value, dict | Not):
        return "any but these"
    return "one of these" if isinstance(value, list | tuple) else "this value"


Condition: TypeAlias = Annotated[
    Annotated[Words, Tag("this value")]
    | Annotated[ValueList, Tag("one of these")]
    | Annotated[Not, Tag("any but these")],
    Discriminator(_form),
]


def holds(condition: Condition, value: str) -> bool:
    """Whether a state that has `value` surely meets `condition`; never where it is unknown."""
    match condition:
        case str():
            return value == condition
        case Not(excluded=excluded):
            return value not in (UNKNOWN, *excluded)
    return value in condition


def may_hold(condition: Condition, value: str) -> bool:
    """Whether it can meet `condition`: a state that is unknown can have any value."""
    return value == UNKNOWN or holds(condition, value)


def named_in(condition: Condition) -> tuple[str, ...]:
    """The values that `condition` is written with."""
    match condition:
        case str():
            return (condition,)
        case Not(excluded=excluded):
            return excluded
    return tuple(condition)


def describe(condition: Condition) -> str:
    """The condition for a person, such as "closed", "open or closed", "not closed"."""
    values = " or ".join(named_in(condition))
    return f"not {values}" if isinstance(condition, Not) else values
