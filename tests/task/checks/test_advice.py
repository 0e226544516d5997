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
