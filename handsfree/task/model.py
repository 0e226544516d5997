"""The models of a task file: what is to be done, and what each step expects to hear."""

from decimal import Decimal
from functools import cached_property
from typing import Annotated, Any, Self

from pydantic import AfterValidator, Discriminator, Field, Tag, field_validator, model_validator

from handsfree.task.branching import Deferral, Exits, Wait
from handsfree.task.conditions import Condition
from handsfree.task.equipment import Equipment
from handsfree.task.file_model import FileModel, Identifier, Names, Text, Texts, Words, wrong
from handsfree.task.limits import Limits
from handsfree.task.states import Counted, DeviceState, NeverRule
from handsfree.words.fractions import FRACTION_STEPS
from handsfree.words.plain import INSPECTED, REJECTED, PlainWord
from handsfree.words.standard import StandardWord
from handsfree.words.units import QUANTITIES, UNITS, conversion, units_of

# ASD-STE100, rule 5.1: write short sentences, at most 20 words in a procedure (from memory).
LONGEST_INSTRUCTION_WORDS = 20

_STANDARD = {spelling for each in StandardWord for spelling in each.spellings}
_OWN_WORDS = {*(each.value for each in PlainWord), INSPECTED, REJECTED}


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
    if phrase in _OWN_WORDS:
        raise wrong(
            f"'{phrase}' is a word that the tool acts on itself",
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


class Part(FileModel):
    """A part that is fitted."""

    name: Text
    """What it is."""
    number: Text
    """Its part number."""


class ConfirmExpected(FileModel):
    """The step is confirmed by this phrase, word for word."""

    confirm: Words
    """What the person says, such as 'pin fitted'."""

    _standard = field_validator("confirm")(_not_standard)


class OtherScale(FileModel):
    """A further scale that the same gauge shows."""

    unit: Text
    """Its unit, of the same quantity."""
    resolution: Annotated[Decimal, Field(gt=0, max_digits=18)]
    """The finest step of that scale, in its unit."""


class ReadingExpected(FileModel):
    """A value is measured and stated."""

    reading: Text
    """The quantity, such as pressure."""
    called: Names = ()
    """Other names that people say for the quantity."""
    unit: Text
    """The unit of the reading and its limits."""
    resolution: Annotated[Decimal, Field(gt=0, max_digits=18)]
    """The finest step of the gauge, in that unit."""
    limits: Limits
    """When a value is inside. A value at a limit is inside."""
    digit_pairs: bool = False
    """Whether 'fifty two nineteen' may mean 5219."""
    fractions: bool = False
    """Whether 'three and five sixteenths' may be said, on a scale of halves to sixteenths."""
    doubles: bool = False
    """Whether 'double four' may mean 44."""
    words_twice: bool = False
    """Whether the value must be said twice in one utterance, and agree."""
    # Without one, a value in another unit is asked about: the person may have meant the right unit
    # and said the wrong one, and a conversion could bring a bad value inside the limits. With one,
    # each scale keeps its own steps, and the unit must be said.
    other_scales: tuple[OtherScale, ...] = ()
    """Further scales on the same gauge. With one, the unit must be said with each value."""

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

    @model_validator(mode="after")
    def _scales_fit(self) -> Self:
        others = [unit.symbol for unit in units_of(self.reading) if unit.symbol != self.unit]
        said = [scale.unit for scale in self.other_scales]
        for unit in said:
            if unit not in others:
                raise wrong(
                    f"'{unit}' is no other unit of {self.reading}",
                    f"Write one of {', '.join(others)}" if others else "There is none: delete it",
                    "other_scales",
                )
            # Once, here, and not while a person waits for the answer: it takes half a second.
            conversion(unit, self.unit)
        if len(set(said)) < len(said):
            raise wrong("a scale is listed twice", "List each scale once", "other_scales")
        return self

    @model_validator(mode="after")
    def _fractions_fit(self) -> Self:
        if self.fractions and self.resolution not in FRACTION_STEPS:
            raise wrong(
                f"a scale of {self.resolution} {self.unit} has no fractions that can be said",
                f"Write {', '.join(map(str, FRACTION_STEPS))}, or leave 'fractions' out",
                "resolution",
            )
        return self

    def resolution_in(self, unit: str) -> Decimal | None:
        """The finest step of the scale in `unit`; None where the gauge has no such scale."""
        others = {scale.unit: scale.resolution for scale in self.other_scales}
        return (others | {self.unit: self.resolution}).get(unit)

    @property
    def names(self) -> tuple[str, ...]:
        """What people may call the quantity."""
        return tuple(dict.fromkeys((self.reading, *self.called)))


class IdentityExpected(FileModel):
    """A serial or part number is read out."""

    identity: Words
    """What is read out, such as "part number"."""
    called: Names = ()
    """Other names that people say for it."""
    accept: tuple[Annotated[str, Field(pattern=r"^[A-Z0-9]+(-[A-Z0-9]+)*$")], ...] = ()
    """The numbers that are right; without it any, for the record."""
    doubles: bool = False
    """Whether 'double four' may mean 44."""
    tool: Identifier | None = None
    """The equipment whose number it is, by id."""

    @property
    def names(self) -> tuple[str, ...]:
        """What people may call it."""
        return tuple(dict.fromkeys((self.identity, *self.called)))

    @property
    def accepted_characters(self) -> frozenset[str]:
        """The accepted identities as they are spoken, without hyphens."""
        return frozenset(each.replace("-", "") for each in self.accept)


class DateExpected(FileModel):
    """The last day on which something is valid is read out; a day before today is refused."""

    date: Words
    """What is read out, such as "calibration due"."""
    called: Names = ()
    """Other names that people say for it."""
    tool: Identifier | None = None
    """The equipment whose calibration it is, by id; then `then: {expired: STEP}` is needed."""

    @property
    def names(self) -> tuple[str, ...]:
        """What people may call it."""
        return tuple(dict.fromkeys((self.date, *self.called)))


class ChoiceExpected(FileModel):
    """One of several things is found; with `required`, only that one lets the step go on."""

    choose: Annotated[tuple[Words, ...], Field(min_length=2)]
    """The phrases that may be said."""
    required: Words | None = None
    """The only one of them that lets the step go on; without it each does."""

    @field_validator("choose")
    @classmethod
    def _choices(cls, choices: tuple[str, ...]) -> tuple[str, ...]:
        if len(set(choices)) < len(choices):
            raise wrong("a choice is listed twice", "List each choice once")
        return tuple(_not_standard(each) for each in choices)

    @model_validator(mode="after")
    def _required_is_a_choice(self) -> Self:
        if self.required not in (None, *self.choose):
            raise wrong(
                f"required '{self.required}' is not one of the choices",
                f"Write {' or '.join(self.choose)}",
                "required",
            )
        return self


EXPECTATION_KEYS = ("confirm", "reading", "identity", "date", "choose")


def _expectation(value: Any) -> str | None:
    keys = value if isinstance(value, dict) else getattr(type(value), "model_fields", ())
    # A tag stands in the path of an error, where it must not be taken for a key of the file.
    return next((f"{each} expected" for each in EXPECTATION_KEYS if each in keys), None)


Expectation = Annotated[
    Annotated[ConfirmExpected, Tag("confirm expected")]
    | Annotated[ReadingExpected, Tag("reading expected")]
    | Annotated[IdentityExpected, Tag("identity expected")]
    | Annotated[DateExpected, Tag("date expected")]
    | Annotated[ChoiceExpected, Tag("choose expected")],
    Discriminator(_expectation),
]


Count = Annotated[int, Field(ge=1)]


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
    # In a task that was read, where each step stands for itself, the one thing at hand.
    each: dict[Identifier, Annotated[tuple[Words, ...], Field(min_length=1)]] = Field(
        default_factory=dict, max_length=1
    )
    """A name and what the step is done for, in this order; `<name>` is the one at hand."""
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
    read_back: bool = False
    """Whether a second person states the value too, before it is said aloud."""
    inspection: bool = False
    """Whether an inspector looks at the work before the step is done."""
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
    variants: dict[Identifier, Annotated[tuple[Words, ...], Field(min_length=2)]] = Field(
        default_factory=dict
    )
    """What is said once, at the start of a run, and holds for all of it, such as the side."""
    states: dict[Identifier, DeviceState] = Field(default_factory=dict)
    """Pins, ties, levers and the like, by name."""
    counted: dict[Identifier, Counted] = Field(default_factory=dict)
    """Things that are counted out of their place and in again, by name."""
    never: tuple[NeverRule, ...] = ()
    """Combinations of states that must not occur."""
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]
    """What is done, in this order where no outcome leads elsewhere."""
    todo: OpenPoints = ()
    """What an author must still settle. While it is there, the task is refused."""

    @cached_property
    def index_of(self) -> dict[str, int]:
        """The place of each step among the steps, by its id."""
        return {step.id: at for at, step in enumerate(self.steps)}

    @cached_property
    def number_of(self) -> dict[str, str]:
        """By the id of a tool, the id of the step that reads its number."""
        return {
            step.expect.tool: step.id
            for step in self.steps
            if isinstance(step.expect, IdentityExpected) and step.expect.tool is not None
        }

    @cached_property
    def date_of(self) -> dict[str, str]:
        """By the id of a tool, the id of the step that reads its calibration date."""
        return {
            step.expect.tool: step.id
            for step in self.steps
            if isinstance(step.expect, DateExpected) and step.expect.tool is not None
        }
