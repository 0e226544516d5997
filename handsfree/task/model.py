"""The models of a task file: what is to be done, and what each step expects to hear."""

from decimal import Decimal
from typing import Annotated, Any, Self

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Discriminator,
    Field,
    Tag,
    field_validator,
    model_validator,
)

from handsfree.task.file_model import FileModel, Identifier, Text, Words, wrong
from handsfree.task.limits import Limits
from handsfree.words.standard import StandardWord
from handsfree.words.units import QUANTITIES, UNITS, units_of

# ASD-STE100, rule 5.1: write short sentences, at most 20 words in a procedure (from memory).
LONGEST_INSTRUCTION_WORDS = 20

_STANDARD = {spelling for each in StandardWord for spelling in each.spellings}


def _listed(value: Any) -> Any:
    """One text stands for a list of one."""
    return [value] if isinstance(value, str) else value


Texts = Annotated[
    tuple[Text, ...], BeforeValidator(_listed, json_schema_input_type=Text | tuple[Text, ...])
]


def _settled(points: tuple[str, ...]) -> tuple[str, ...]:
    """A draft is refused here, in the one way into a `Task`, so that nothing can run it."""
    if points:
        raise wrong(f"still a draft, to do: {'; '.join(points)}", "Do it, then delete this 'todo'")
    return points


OpenPoints = Annotated[Texts, AfterValidator(_settled)]


def _not_standard(phrase: str) -> str:
    if phrase in _STANDARD:
        raise wrong(
            f"'{phrase}' is a standard word and cannot confirm a step by itself",
            "Write a phrase that names what was done, such as 'pin in'",
        )
    return phrase


class ApprovedData(FileModel):
    """The approved maintenance data that this task follows, and that outranks it."""

    reference: Text
    """Its number or title, as a person can find it."""
    revision: Text
    """The revision that this task was written from."""


class Applicability(FileModel):
    """What the task may be used on."""

    aircraft: Text
    """Operator, type and registration."""
    component: Text
    """The component that is worked on."""


class Equipment(FileModel):
    """A tool or a piece of test equipment."""

    name: Text
    """What it is, with its range or the steps of its scale."""
    calibrated: bool = False
    """Whether it carries a calibration date that must be checked."""


class Part(FileModel):
    """A part that is fitted."""

    name: Text
    """What it is."""
    number: Text
    """Its part number."""


class DeviceState(FileModel):
    """A pin, a tie, a lever or the like: where it may be, is at the start, and must end."""

    called: Words
    """How people call it."""
    values: Annotated[tuple[Words, ...], Field(min_length=2)]
    """All that it can be. Words that do not sound alike."""
    start: Words
    """What it is before the first step; the worst case if that is not known."""
    end: Words
    """What it must be after the last step."""

    @model_validator(mode="after")
    def _known_values(self) -> Self:
        for key, value in (("start", self.start), ("end", self.end)):
            if value not in self.values:
                raise wrong(
                    f"{key} '{value}' is not one of the values",
                    f"Write {' or '.join(self.values)}",
                    key,
                )
        if len(set(self.values)) < len(self.values):
            raise wrong("a value is listed twice", "List each value once")
        return self


class NeverRule(FileModel):
    """A combination of states that must not occur, and why."""

    when: Annotated[dict[Identifier, Words], Field(min_length=1)]
    """The values of states that must not be together at any moment."""
    because: Text
    """What can happen then."""


class ConfirmExpected(FileModel):
    """The step is confirmed by this phrase, word for word."""

    confirm: Words
    """What the person says, such as 'pin fitted'."""

    _standard = field_validator("confirm")(_not_standard)


class ReadingExpected(FileModel):
    """A value is measured and stated."""

    reading: Text
    """The quantity, such as pressure."""
    called: Annotated[
        tuple[Words, ...],
        BeforeValidator(_listed, json_schema_input_type=Words | tuple[Words, ...]),
    ] = ()
    """Further names that people say for it."""
    unit: Text
    """The only unit that is accepted."""
    resolution: Annotated[Decimal, Field(gt=0)]
    """The finest step of the gauge, in the unit. A finer value is asked again."""
    limits: Limits
    """When a value is inside. A value at a limit is inside."""
    digit_pairs: bool = False
    """Whether 'fifty two nineteen' may mean 5219."""

    @model_validator(mode="after")
    def _unit_fits(self) -> Self:
        if self.reading not in QUANTITIES:
            raise wrong(
                f"unknown quantity '{self.reading}'",
                f"Write one of {', '.join(QUANTITIES)}",
                "reading",
            )
        fitting = ", ".join(unit.symbol for unit in units_of(self.reading))
        if self.unit not in UNITS:
            raise wrong(
                f"unknown unit '{self.unit}'", f"For {self.reading} write one of {fitting}", "unit"
            )
        if UNITS[self.unit].quantity != self.reading:
            raise wrong(
                f"{self.unit} measures {UNITS[self.unit].quantity}, not {self.reading}",
                f"Write one of {fitting}",
                "unit",
            )
        return self

    @property
    def names(self) -> tuple[str, ...]:
        """What people may call the quantity."""
        return tuple(dict.fromkeys((self.reading, *self.called)))


class IdentityExpected(FileModel):
    """A serial or part number is read out."""

    identity: Words
    """What is read out, such as "part number"."""
    accept: tuple[Annotated[str, Field(pattern=r"^[A-Z0-9]+(-[A-Z0-9]+)*$")], ...] = ()
    """The numbers that are right; without it any, for the record."""

    @property
    def accepted_characters(self) -> frozenset[str]:
        """The accepted identities as they are spoken, without hyphens."""
        return frozenset(each.replace("-", "") for each in self.accept)


class ChoiceExpected(FileModel):
    """One of several things is found; only one of them lets the step go on."""

    choose: Annotated[tuple[Words, ...], Field(min_length=2)]
    """The phrases that may be said."""
    required: Words
    """The only one of them that lets the step go on."""

    @field_validator("choose")
    @classmethod
    def _choices(cls, choices: tuple[str, ...]) -> tuple[str, ...]:
        if len(set(choices)) < len(choices):
            raise wrong("a choice is listed twice", "List each choice once")
        return tuple(_not_standard(each) for each in choices)

    @model_validator(mode="after")
    def _required_is_a_choice(self) -> Self:
        if self.required not in self.choose:
            raise wrong(
                f"required '{self.required}' is not one of the choices",
                f"Write {' or '.join(self.choose)}",
                "required",
            )
        return self


EXPECTATION_KEYS = ("confirm", "reading", "identity", "choose")


def _expectation(value: Any) -> str | None:
    keys = value if isinstance(value, dict) else getattr(type(value), "model_fields", ())
    # A tag stands in the path of an error, where it must not be taken for a key of the file.
    return next((f"{each} expected" for each in EXPECTATION_KEYS if each in keys), None)


Expectation = Annotated[
    Annotated[ConfirmExpected, Tag("confirm expected")]
    | Annotated[ReadingExpected, Tag("reading expected")]
    | Annotated[IdentityExpected, Tag("identity expected")]
    | Annotated[ChoiceExpected, Tag("choose expected")],
    Discriminator(_expectation),
]


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
    needs: dict[Identifier, Words] = Field(default_factory=dict)
    """The values that states must have before the step."""
    sets: dict[Identifier, Words] = Field(default_factory=dict)
    """The values that states have once the step is confirmed."""
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
        if self.sets and self.expect is None:
            raise wrong(
                "the step sets a state but expects nothing to be heard",
                "Add an expect, so that a person confirms the change",
                "sets",
            )
        return self


class Task(FileModel):
    """A whole task file."""

    task: Identifier
    """The name of the task."""
    title: Text
    """What is done, as it is spoken."""
    revision: Text
    """The revision of this file, in quotes."""
    notice: Texts = ()
    """Said first, such as that the task is invented."""
    approved_data: ApprovedData
    """The approved maintenance data that the task follows, and that outranks it."""
    applicability: Applicability
    """The aircraft and the component that it may be used on."""
    warning: Texts = ()
    """Said before the first step: a person can be hurt."""
    equipment: tuple[Equipment, ...] = ()
    """Tools and test equipment."""
    parts: tuple[Part, ...] = ()
    """Parts that are fitted."""
    consumables: tuple[Text, ...] = ()
    """What is used up, such as nitrogen."""
    states: dict[Identifier, DeviceState] = Field(default_factory=dict)
    """Pins, ties, levers and the like, by name."""
    never: tuple[NeverRule, ...] = ()
    """Combinations of states that must not occur."""
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]
    """What is done, in this order."""
    todo: OpenPoints = ()
    """What an author must still settle. While it is there, the task is refused."""
