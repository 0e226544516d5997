"""How a task is worded. The rules are those of ASD-STE100, issue 8; numbers are from memory."""

import pytest

from handsfree.task.checks.advice import advise
from handsfree.task.read import read_and_prove
from tests.task.faults import READING, step, task

LONG = "Move the lever of the front left door slowly and with care until the two latches lock"


def advice(text: str) -> list[str]:
    checked, _, source = read_and_prove(text, "t.yaml")
    return [each.describe("t.yaml") for each in advise(checked, source)]


def worded(instruction: str) -> str:
    return task(step("look").replace("Do look.", instruction))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            worded("Attach the harness, and count the ties."),
            "t.yaml:10:5: the instruction of step 'look' gives a second order, 'count' "
            "(ASD-STE100 5.2). Split the step",
        ),
        (
            worded("Push the lever. Close the door."),
            "t.yaml:10:5: the instruction of step 'look' gives a second order, 'Close' "
            "(ASD-STE100 5.2). Split the step",
        ),
        (
            worded("Move the lever. It can crush your hand."),
            "t.yaml:10:5: the instruction of step 'look' holds a warning, 'crush' "
            "(ASD-STE100 7.1). "
            "Write it as a warning or a caution, which is said before the instruction",
        ),
        (
            task(step("look", "note: The slide can kill you.")),
            "t.yaml:12:5: the note of step 'look' tells of harm (ASD-STE100 7.1). "
            "Write it as a warning or a caution",
        ),
        (
            task(step("look", f"warning: {LONG} and the window is red.")),
            "t.yaml:12:5: a sentence has 22 words (ASD-STE100 5.1). Use at most 20: split it",
        ),
        (
            task(step("look", f"note: {LONG} {LONG}.")),
            "t.yaml:12:5: a sentence has 34 words (ASD-STE100 6.2). Use at most 25: split it",
        ),
        (
            task(step("look"), more=f"warning: {LONG} and the window is red.\n"),
            "t.yaml:8:1: a sentence has 22 words (ASD-STE100 5.1). Use at most 20: split it",
        ),
        (
            task(step("look", "", READING.replace("min: 0", "min: 0.5"))),
            "t.yaml:11:72: min 0.5 lies between two marks of a scale in steps of 1. "
            "Write a limit that the scale can show, or mend the resolution",
        ),
    ],
)
def test_what_should_be_worded_otherwise_is_told(text: str, told: str) -> None:
    assert advice(text) == [told]


@pytest.mark.parametrize(
    "text",
    [
        worded("Make sure that the pin is fully in and its flag shows."),
        worded("Compare the life dates on the pack and the bottle with the date today."),
        worded("Put the pins, with their flags, into the stowage."),
        worded("Do a test of the light and the lock."),
        task(step("look", f"warning: {LONG}. The window is red. Keep your hands out of it.")),
        task(step("look", f"note: {LONG} and the window is red.")),
        task(step("look", "", READING)),
    ],
)
def test_good_wording_is_left_alone(text: str) -> None:
    assert advice(text) == []


def test_a_repeated_step_is_told_of_once() -> None:
    text = task(step("look", "each: {side: [left, right]}\nnote: The slide can kill you."))
    assert len({each.split(" the note of step ")[0] for each in advice(text)}) == 1


def sentence(words: int) -> str:
    return " ".join(["slide"] * words) + "."


@pytest.mark.parametrize(("key", "most"), [("warning", 20), ("caution", 20), ("note", 25)])
def test_a_sentence_of_as_many_words_as_the_rule_has_is_left_alone(key: str, most: int) -> None:
    """ASD-STE100, rules 5.1 and 6.2, from memory; each sentence is counted by itself."""
    just = f"{sentence(most)} {sentence(most).replace('.', '?')} {sentence(most)}"
    assert advice(task(step("look", f"{key}: {just}"))) == []
    rule = "6.2" if key == "note" else "5.1"
    assert advice(task(step("look", f"{key}: {just} {sentence(most + 1)}"))) == [
        f"t.yaml:12:5: a sentence has {most + 1} words (ASD-STE100 {rule}). "
        f"Use at most {most}: split it"
    ]


@pytest.mark.parametrize(
    "harm",
    [
        *("kill", "injure", "injury", "crush", "crushes", "burn you", "explode", "explodes"),
        *("danger", "dangerous", "hazard", "death", "warning", "caution", "Danger"),
    ],
)
def test_what_tells_of_harm_belongs_in_a_warning(harm: str) -> None:
    (told,) = advice(worded(f"Hold the lever, its {harm} is near."))
    assert f"holds a warning, '{harm}'" in told
    assert advice(worded(f"Hold the lever, its un{harm} is near.")) == []


@pytest.mark.parametrize(
    ("between", "is_second"),
    [
        (" and ", True),
        (", and ", True),
        (", then ", True),
        (" and then ", True),
        (", and then ", True),
        ("; ", True),
        (". ", True),
        (", ", False),
        (" then ", True),
        (" to ", False),
    ],
)
def test_a_second_order_is_told_by_what_stands_before_it(between: str, is_second: bool) -> None:
    found = advice(worded(f"Push the lever{between}close the door."))
    assert bool(found) is is_second
    # A noun that is spelled as an order, and what shows or is.
    assert advice(worded(f"Push the lever{between}lock is in.")) == []
    assert advice(worded(f"Push the lever{between}slide the door.")) == []


def test_what_should_be_worded_otherwise_is_told_in_the_order_of_the_file() -> None:
    text = task(
        step("one", "note: The slide can kill you."),
        step("two", "", READING.replace("min: 0", "min: 0.5")),
        more=f"warning: {sentence(21)}\n",
    )
    assert [each.split(":")[1] for each in advice(text)] == ["8", "13", "16"]


def test_limits_between_two_marks_are_told_each_by_its_key() -> None:
    between = READING.replace("min: 0, max: 40", "min: 0.5, max: 40.5")
    assert [
        each.split(": ")[1].split(" lies")[0] for each in advice(task(step("look", "", between)))
    ] == [
        "min 0.5",
        "max 40.5",
    ]
