"""What can be said now, as a person reads it."""

from handsfree.board.symbols import symbol_of
from handsfree.engine.findings import Category
from handsfree.engine.phase import ACTED_ON, DELIVERY, ORDERED_IN, Phase
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.words.plain import INSPECTED, REJECTED, SECOND, PlainWord
from handsfree.words.standard import StandardWord

# The words that answer what was just said come before those that can be said at most moments.
_ANSWERS = (
    StandardWord.AFFIRM,
    StandardWord.NEGATIVE,
    StandardWord.CORRECTION,
    StandardWord.GO_AHEAD,
)
# Everyday words need no room: the board itself is the help, and shows a standard word for each.
_EVERYDAY = {PlainWord.GO_BACK, PlainWord.HELP, PlainWord.STOP, *DELIVERY}
# Where what the step expects can be said; elsewhere only words can.
_WAITS_FOR_THE_STEP = (Phase.ANSWERING, Phase.OUTSIDE)

# Where something else is asked than what the step expects.
_ASKED = {
    Phase.IDENTIFYING: ("your staff number",),
    Phase.REFERENCING: ("the reference, letter by letter",),
    Phase.INSPECTING: (INSPECTED, REJECTED),
    Phase.CATEGORISING: tuple(each.said for each in Category),
    Phase.REMARKING: ("it, in any words",),
}


def fitting_answers(phase: Phase, expected: Expectation | None) -> tuple[str, ...]:
    """What moves the run on from here, the most wanted first."""
    words = tuple(word.value for word in _ANSWERS if word in ACTED_ON[phase])
    if phase is Phase.SECOND:
        return tuple(f"{SECOND}, and {each}" for each in _expected(expected))
    if phase in _ASKED:
        return _ASKED[phase]
    return (*_expected(expected), *words) if phase in _WAITS_FOR_THE_STEP else words


def other_words(phase: Phase, can_close_finding: bool = False) -> tuple[str, ...]:
    """The other words that are acted on here: standard ones, and orders in plain words."""
    orders = [each for each in PlainWord if phase in ORDERED_IN[each] and each not in _EVERYDAY]
    if not can_close_finding:
        orders = [each for each in orders if each is not PlainWord.CLOSE_FINDING]
    return (
        *(word.value for word in StandardWord if word in ACTED_ON[phase] and word not in _ANSWERS),
        *(f"{each.value} and its number" if each.takes_number else each.value for each in orders),
    )


def _expected(expected: Expectation | None) -> tuple[str, ...]:
    match expected:
        case ConfirmExpected():
            return (expected.confirm,)
        case ChoiceExpected():
            return expected.choose
        case ReadingExpected():
            return (f"the {expected.reading} in {symbol_of(expected.unit)}",)
        case IdentityExpected():
            return (f"the {expected.identity}",)
        case DateExpected():
            return (f"the {expected.date}: day, month by name, year",)
    return ()
