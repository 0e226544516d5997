"""What a step expects to hear: a confirmation, a reading, an identity, a date, or a choice."""

from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Self

from pydantic import BeforeValidator, Discriminator, Field, Tag, field_validator, model_validator

from handsfree.task.file_model import FileModel, Identifier, Names, Text, Words, wrong
from handsfree.task.limits.forms import Limits
from handsfree.task.own_words import not_own
from handsfree.words.fractions import FRACTION_STEPS
from handsfree.words.units import QUANTITIES, UNITS, conversion, units_of


class ConfirmExpected(FileModel):
    """The step is confirmed by this phrase, word for word."""

    confirm: Words
    """What the person says, such as 'pin fitted'."""

    _standard = field_validator("confirm")(not_own)


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
    """Whether 'three and five sixteenths' may be said, on a scale of halves to sixty-fourths."""
    doubles: bool = False
    """Whether 'double four' may mean 44."""
    words_twice: bool = False
    """Whether the value must be said twice in one utterance, and agree."""
    agree_within: Annotated[Decimal, Field(gt=0, max_digits=18)] | None = None
    """How far two people who read it back may differ, in its unit; without it, not at all."""
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
    def _slack_fits(self) -> Self:
        if self.agree_within is None:
            return self
        if self.reading == "count":
            raise wrong(
                "two people who count the same things get the same number",
                "Leave agree_within out",
                "agree_within",
            )
        if Fraction(self.agree_within) % Fraction(self.resolution):
            raise wrong(
                f"{self.agree_within} {self.unit} is not a number of steps of the scale, "
                f"which are {self.resolution} {self.unit}",
                "Write how many steps apart two readings of one gauge may be, in its unit",
                "agree_within",
            )
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
    again: bool = False
    """Whether the tool was read before, so that only the same number is right."""

    @model_validator(mode="after")
    def _again_is_of_a_tool(self) -> Self:
        if self.again and self.tool is None:
            raise wrong(
                "again is for the number of a tool, and no tool is named",
                "Add 'tool: ...', or leave again out",
                "again",
            )
        if self.again and self.accept:
            raise wrong(
                "again takes only the number that was read before, whatever accept lists",
                "Write accept in the step that reads it first",
                "accept",
            )
        return self

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
        return tuple(not_own(each) for each in choices)

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


def _kinds(value: Any) -> list[str]:
    keys = value if isinstance(value, dict) else getattr(type(value), "model_fields", ())
    return [each for each in EXPECTATION_KEYS if each in keys]


def _of_one_kind(value: Any) -> Any:
    found = _kinds(value)
    if not found:
        raise wrong(
            "the step expects nothing that can be heard",
            f"Write one of {', '.join(EXPECTATION_KEYS)}",
        )
    if len(found) > 1:
        raise wrong(
            f"the step expects {len(found)} kinds of answer: {', '.join(found)}",
            "Keep one of them, and ask for the other in a step of its own",
            found[1],
        )
    return value


def _expectation(value: Any) -> str:
    # A tag stands in the path of an error, where it must not be taken for a key of the file.
    return f"{_kinds(value)[0]} expected"


Expectation = Annotated[
    Annotated[
        Annotated[ConfirmExpected, Tag("confirm expected")]
        | Annotated[ReadingExpected, Tag("reading expected")]
        | Annotated[IdentityExpected, Tag("identity expected")]
        | Annotated[DateExpected, Tag("date expected")]
        | Annotated[ChoiceExpected, Tag("choose expected")],
        Discriminator(_expectation),
    ],
    BeforeValidator(_of_one_kind),
]


def fixed_answers(expected: Expectation | None) -> tuple[str, ...]:
    """The phrases, word for word, that answer what is expected; none where a value is said."""
    match expected:
        case ConfirmExpected(confirm=phrase):
            return (phrase,)
        case ChoiceExpected(choose=phrases):
            return phrases
    return ()
