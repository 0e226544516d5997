"""What a step expects to hear, in words."""

from functools import singledispatch

from handsfree.review.plain import by_keys, further
from handsfree.review.worked import with_unit
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.file_model import FileModel

# What each function below puts in words itself.
_READING_KEYS = {"reading", "called", "unit", "resolution", "limits", "digit_pairs", "fractions"}
_READING_KEYS |= {"doubles", "words_twice", "other_scales", "agree_within"}
_IDENTITY_KEYS = {"identity", "called", "accept", "doubles", "tool", "again"}
_DATE_KEYS = {"date", "called", "tool"}


@singledispatch
def heard(expected: FileModel) -> tuple[str, ...]:
    """What is expected to be heard, a line for each fact. One more kind: register it here."""
    return (by_keys(expected),)


@heard.register
def _(expected: ConfirmExpected) -> tuple[str, ...]:
    return (f'"{expected.confirm}"',)


@heard.register
def _(expected: ReadingExpected) -> tuple[str, ...]:
    scales = (
        f"or in steps of {scale.resolution:f} {scale.unit}; the unit must be said with each value"
        for scale in expected.other_scales
    )
    return (
        f"{expected.reading}, in steps of {with_unit(f'{expected.resolution:f}', expected.unit)}",
        *scales,
        *_also_called(expected.reading, expected.names),
        *(("said in pairs of digits too",) if expected.digit_pairs else ()),
        *(("said in fractions too",) if expected.fractions else ()),
        *_doubles(expected.doubles),
        *(("said twice in one utterance, and both must agree",) if expected.words_twice else ()),
        *_agree_within(expected),
        *further(expected, _READING_KEYS),
    )


def _agree_within(expected: ReadingExpected) -> tuple[str, ...]:
    if expected.agree_within is None:
        return ()
    slack = with_unit(f"{expected.agree_within:f}", expected.unit)
    return (f"two people agree within {slack}; the value nearer to a limit is judged",)


@heard.register
def _(expected: IdentityExpected) -> tuple[str, ...]:
    right = f"only {' or '.join(expected.accept)}" if expected.accept else "any, for the record"
    if expected.again:
        right = "only the number that was read before"
    return (
        f"{expected.identity}: {right}",
        *_also_called(expected.identity, expected.names),
        *_doubles(expected.doubles),
        *_of_tool(expected.tool),
        *further(expected, _IDENTITY_KEYS),
    )


@heard.register
def _(expected: DateExpected) -> tuple[str, ...]:
    return (
        f"{expected.date}: a last day, which is today or later",
        *_also_called(expected.date, expected.names),
        *_of_tool(expected.tool),
        *further(expected, _DATE_KEYS),
    )


@heard.register
def _(expected: ChoiceExpected) -> tuple[str, ...]:
    return (
        "one of: " + ", ".join(f'"{each}"' for each in expected.choose),
        f'goes on only with "{expected.required}"'
        if expected.required
        else "goes on with each of them",
        *further(expected, {"choose", "required"}),
    )


def _also_called(first: str, names: tuple[str, ...]) -> tuple[str, ...]:
    also = [name for name in names if name != first]
    return (f"also called {', '.join(also)}",) if also else ()


def _of_tool(tool: str | None) -> tuple[str, ...]:
    return () if tool is None else (f"of the tool {tool}",)


def _doubles(can_be_said: bool) -> tuple[str, ...]:
    return ('"double four" means 44',) if can_be_said else ()
