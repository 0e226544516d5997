"""One step of a task: what is said, what it expects to hear, and what it changes."""

from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, field_validator, model_validator

from handsfree.task.branching import Deferral, Exits, Wait
from handsfree.task.conditions import Condition
from handsfree.task.draft import OpenPoints
from handsfree.task.expectations import Expectation, IdentityExpected, ReadingExpected
from handsfree.task.file_model import FileModel, Identifier, Text, Texts, Words, wrong
from handsfree.task.repeat import MOST_LISTS
from handsfree.task.roles import Role

# ASD-STE100, rule 5.1: write short sentences, at most 20 words in a procedure (from memory).
LONGEST_INSTRUCTION_WORDS = 20

Count = Annotated[int, Field(ge=1)]


def _doer(value: Any) -> Any:
    if value in {Role.INSPECTOR.value, Role.INSPECTOR}:
        raise wrong(
            "an inspector looks at work and does none",
            "Leave by out and write inspection: true, or name another person",
        )
    if value not in {*_DOERS, *(each.value for each in _DOERS)}:
        names = " or ".join(each.value for each in _DOERS)
        raise wrong(f"'{value}' does no work on a step", f"Write {names}")
    return value


_DOERS = (Role.TECHNICIAN, Role.SECOND_PERSON)
Doer = Annotated[
    Role,
    BeforeValidator(_doer, json_schema_input_type=Literal["technician", "second person"]),
]
"""A person who does the work of a step."""


ANY_KEY = "any"
"""The key of an answer that names none."""

_KeyOfStep = Annotated[str, Field(pattern=r"^[a-z_]+$")]


def _answers(value: Any) -> Any:
    return {ANY_KEY: value} if isinstance(value, str) else value


Because = Annotated[
    dict[_KeyOfStep, Text],
    BeforeValidator(_answers, json_schema_input_type=Text | dict[_KeyOfStep, Text]),
]
"""Answers to warnings, by the key that `check` warns at; or one text, where it warns at one key."""


class Step(FileModel):
    """One instruction, what is said before it, and what it expects to hear."""

    id: Identifier
    """Its name in this file and in the record; each step has its own."""
    warning: Texts = ()
    """Said before the instruction: a person can be hurt."""
    caution: Texts = ()
    """Said before the instruction: something can be damaged."""
    note: Texts = ()
    """Said before the instruction: what helps to do it."""
    instruction: Text
    """One action in at most 20 words."""
    expect: Expectation | None = None
    """What must be heard before the task goes on. Without it the step is only said."""
    # Once a task is read, a step is a copy for one item: then each list holds that item alone.
    each: dict[Identifier, Annotated[tuple[Words, ...], Field(min_length=1)]] = Field(
        default_factory=dict, max_length=MOST_LISTS
    )
    """A name and what the step is done for, in this order; `<name>` is the one at hand. Of two
    names every pair: the second list for each of the first."""
    applies: dict[Identifier, Condition] = Field(default_factory=dict)
    """The variants or states for which the step is done; else it is passed over."""
    needs: dict[Identifier, Condition] = Field(default_factory=dict)
    """What states must be before the step: a value, a list of values, or `{not: value}`."""
    sets: dict[Identifier, Words] = Field(default_factory=dict)
    """The values that states have once the step is done."""
    counts_out: dict[Identifier, Count] = Field(default_factory=dict)
    """How many counted things leave their place when the step is done."""
    counts_in: dict[Identifier, Count] = Field(default_factory=dict)
    """How many counted things come back to their place when the step is done."""
    uses: tuple[Identifier, ...] = ()
    """The equipment, which must be in calibration by then, and the counted things that it uses."""
    wait: Wait | None = None
    """How long after another step this one may be answered."""
    then: Exits = Field(default_factory=dict)
    """Where each outcome leads: a step, or `end`. Without it the next step follows."""
    deferral: Deferral | None = None
    """Whether the step may stay undone, and who must agree."""
    critical: bool = False
    """Whether a wrong answer here can kill: it must then be heard more surely."""
    by: Doer | None = None
    """Who confirms or affirms it; by default the technician, where a roster is in force."""
    read_back: bool = False
    """Whether a second person states the value too, before it is said aloud."""
    inspection: bool = False
    """Whether an inspector looks at the work before the step is done."""
    because: Because = Field(default_factory=dict)
    """The answer to what `check` warns of here; `show` prints it beside the warning. Where it warns
    at several keys of the step, an answer for each: `{uses: TEXT, limits: TEXT}`."""
    todo: OpenPoints = ()
    """What an author must still settle here. While it is there, the task is refused."""

    @field_validator("instruction")
    @classmethod
    def _short(cls, instruction: str) -> str:
        words = len(instruction.split())
        if words > LONGEST_INSTRUCTION_WORDS:
            raise wrong(
                f"the instruction has {words} words",
                f"Use at most {LONGEST_INSTRUCTION_WORDS}: split the step",
            )
        return instruction

    @model_validator(mode="after")
    def _changes_are_confirmed(self) -> Self:
        changes = (
            ("sets", "sets a state"),
            ("counts_out", "counts something out"),
            ("counts_in", "counts something in"),
            ("wait", "waits"),
            ("deferral", "may be deferred"),
            ("inspection", "is inspected"),
            ("by", "is confirmed by somebody"),
        )
        for key, does in changes:
            if self.expect is None and getattr(self, key):
                raise wrong(
                    f"the step {does} but expects nothing to be heard",
                    "Add an expect, so that a person confirms the change",
                    key,
                )
        return self

    @model_validator(mode="after")
    def _a_value_is_read_back(self) -> Self:
        if self.read_back and not isinstance(self.expect, ReadingExpected | IdentityExpected):
            raise wrong(
                "a second person reads back a value, and the step expects none",
                "Leave read_back out, or expect a reading or an identity",
                "read_back",
            )
        if self.read_back and self.by is Role.SECOND_PERSON:
            raise wrong(
                "the second person cannot read back their own value",
                "Leave by out, so that the technician states it first",
                "by",
            )
        slack = self.expect.agree_within if isinstance(self.expect, ReadingExpected) else None
        if slack is not None and not self.read_back:
            raise wrong(
                "agree_within says how far two people may differ, and nobody reads back",
                "Add read_back: true to the step, or leave agree_within out",
                "expect",
            )
        return self
