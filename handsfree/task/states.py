"""States of pins and the like, things that are counted, and what must never be together."""

from typing import Annotated, Self

from pydantic import Field, model_validator

from handsfree.task.conditions import UNKNOWN, Condition, named_in
from handsfree.task.file_model import FileModel, Identifier, Text, Words, wrong


class DeviceState(FileModel):
    """A pin, a tie, a lever or the like: where it may be, is at the start, and must end."""

    called: Words
    """What people call it."""
    values: Annotated[tuple[Words, ...], Field(min_length=2)]
    """All that it can be."""
    start: Words
    """Its value before the first step; or `unknown`, until a step proves it."""
    end: Condition
    """What it must be at the end: a value, a list of values, or `{not: value}`."""
    because: Text | None = None
    """The answer to what `check` warns of here; `show` prints it beside the warning."""

    @model_validator(mode="after")
    def _known_values(self) -> Self:
        if UNKNOWN in self.values:
            raise wrong(
                f"'{UNKNOWN}' cannot be a value: it means that the value is not known",
                f"Leave it out; 'start: {UNKNOWN}' can be written all the same",
                "values",
            )
        ends = (("end", value) for value in named_in(self.end))
        for key, value in (("start", self.start), *ends):
            if value not in self.values and (key, value) != ("start", UNKNOWN):
                raise wrong(
                    f"{key} '{value}' is not one of the values",
                    f"Write {' or '.join(self.values)}",
                    key,
                )
        if len(set(self.values)) < len(self.values):
            raise wrong("a value is listed twice", "List each value once")
        return self


class Counted(FileModel):
    """Things that are counted out of their place and in again, such as pins, ties or flags."""

    called: Words
    """What people call them."""
    total: Annotated[int, Field(ge=1)]
    """How many there are."""
    start: Annotated[int, Field(ge=0)] = 0
    """How many are out of their place before the first step."""
    end: Annotated[int, Field(ge=0)] = 0
    """How many must be out of their place at the end."""
    tools: tuple[Identifier, ...] = ()
    """The equipment among them, by id: it is told where each was used last."""

    @model_validator(mode="after")
    def _no_more_than_there_are(self) -> Self:
        for key, out in (("start", self.start), ("end", self.end)):
            if out > self.total:
                raise wrong(
                    f"{key} {out} is more than the total, {self.total}",
                    f"Write at most {self.total}, or mend the total",
                    key,
                )
        return self


class NeverRule(FileModel):
    """A combination of states that must not occur, and why."""

    when: Annotated[dict[Identifier, Condition], Field(min_length=1)]
    """What must not be together at any moment: states and their values, as in `end`."""
    because: Text
    """What can happen then."""
