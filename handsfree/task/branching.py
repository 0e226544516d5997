"""How a step may be left other than to the next one: jumps, deferral, and waiting."""

import re
from datetime import timedelta
from decimal import Decimal
from typing import Annotated, Any, Self

from pydantic import BeforeValidator, Field, PlainSerializer, model_validator

from handsfree.task.file_model import FileModel, Identifier, Text, Words, wrong

END = "end"
"""Where a jump ends the task; no step may have this id."""

DURATION = r"([0-9]{1,6}(?:\.[0-9]{1,3})?) ?(s|min|h)"
_SECONDS = {"s": 1, "min": 60, "h": 3600}


class Exit(FileModel):
    """Where one outcome of a step leads, and what it changes."""

    go: Identifier | None = None
    """A step, or `end`; without it the next step."""
    sets: dict[Identifier, Words] = Field(default_factory=dict)
    """The values that states have after this outcome."""
    planned: bool | None = None
    """Whether the step is then work done as planned: a reading or choice that leads on is."""


def _exit(value: Any) -> Any:
    """The id of a step stands for an exit that only leads there."""
    return {"go": value} if isinstance(value, str) else value


def _exits(value: Any) -> Any:
    """The id of a step stands for where the step leads when it is done."""
    return {"done": value} if isinstance(value, str) else value


Exits = Annotated[
    dict[Words, Annotated[Exit, BeforeValidator(_exit, json_schema_input_type=Identifier | Exit)]],
    BeforeValidator(_exits, json_schema_input_type=Identifier | dict[Words, Identifier | Exit]),
]
"""By outcome: `done`, `inside`, `below`, `above`, `expired`, `late`, or one of the choices."""


class Deferral(Exit):
    """The step may stay undone, with the agreement of somebody who is named."""

    authority: Text
    """Who must agree, such as maintenance control."""


def _duration(value: Any) -> Any:
    if isinstance(value, timedelta):
        return value
    parts = re.fullmatch(DURATION, str(value))
    if parts is None:
        raise wrong(f"'{value}' is not a time", "Write a number and s, min or h, such as '10 min'")
    return timedelta(milliseconds=int(Decimal(parts[1]) * 1000) * _SECONDS[parts[2]])


Duration = Annotated[
    timedelta, BeforeValidator(_duration, json_schema_input_type=str), PlainSerializer(str)
]


class Wait(FileModel):
    """The step is answered at least, or at most, so long after another step was done."""

    since: Identifier
    """The other step; the time runs from when it was done."""
    at_least: Duration | None = None
    """The shortest time, such as 10 min."""
    at_most: Duration | None = None
    """The longest time, such as 2 h."""

    @model_validator(mode="after")
    def _some_time(self) -> Self:
        if self.at_least is None and self.at_most is None:
            raise wrong("a wait without a time", "Write at_least, at_most or both")
        if self.at_least is not None and self.at_most is not None and self.at_least > self.at_most:
            raise wrong("the times cross: at_least is longer than at_most", "Exchange or mend them")
        return self
