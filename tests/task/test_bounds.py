"""How much a task file may hold, as it was decided on purpose. Where no source: common practice."""

import pytest

from handsfree.task import file_model, repeat, source, step
from handsfree.task.checks import advice, references
from handsfree.task.limits import drop, forms, torque
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from tests.task.faults import PIN, READING, task
from tests.task.faults import step as written


def test_the_bounds_are_those_that_were_decided() -> None:
    assert (
        advice.LONGEST_PROCEDURE_SENTENCE_WORDS,
        advice.LONGEST_DESCRIPTION_SENTENCE_WORDS,
    ) == (20, 25)  # ASD-STE100, rules 5.1 and 6.2
    assert step.LONGEST_INSTRUCTION_WORDS == 20
    assert torque.LOWEST_SHARE_OF_SCALE * 100 == 20  # of full scale: TM 1-1500-204-23-9, table 8-1
    assert drop.HIGHEST_BAR == 25
    assert (forms.MOST_TOGETHER, forms.MOST_ROWS) == (4, 200)
    assert (repeat.MOST_STEPS, repeat.MOST_LISTS) == (5_000, 2)
    assert references.MOST_PHRASES == 5_000
    assert source.LARGEST_CHARACTERS == 1_000_000
    assert (
        file_model.MOST_PHRASE_WORDS,
        file_model.MOST_TEXT_CHARACTERS,
        file_model.MOST_WORD_LETTERS,
    ) == (12, 1_000, 60)


def refused(text: str) -> bool:
    try:
        read_task(text, "t.yaml")
    except TaskFileError:
        return True
    return False


def instruction(text: str) -> str:
    return task(written("look")).replace("Do look.", text)


def phrase(words: int) -> str:
    return task(written("look", "", f"{{confirm: {' '.join(['pin'] * words)}}}"))


def together(limits: int) -> str:
    each = ", ".join(["{max: 9}"] * limits)
    reading = "reading: pressure, unit: psi, resolution: 1"
    return task(written("look", "", f"{{{reading}, limits: [{each}]}}"))


def rows(number: int) -> str:
    each = ", ".join(f"{{at: {at}, max: 9}}" for at in range(number))
    reading = "reading: pressure, unit: psi, resolution: 1"
    return task(
        written(
            "warm",
            "",
            "{reading: temperature, unit: degC, resolution: 1, limits: {min: 0, max: 99}}",
        ),
        written("look", "", f"{{{reading}, limits: {{over: warm, table: [{each}]}}}}"),
    )


def deep(levels: int) -> str:
    return task(written("look")).replace("A small task", "[" * levels + "]" * levels)


@pytest.mark.parametrize(
    ("most", "more"),
    [
        (instruction("do " * 20), instruction("do " * 21)),
        (instruction("o" * 60), instruction("o" * 61)),
        (phrase(12), phrase(13)),
        (together(4), together(5)),
        (rows(200), rows(201)),
    ],
    ids=["words of an instruction", "letters of a word", "words of a phrase", "limits", "rows"],
)
def test_as_much_as_the_bound_is_taken_and_one_more_is_refused(most: str, more: str) -> None:
    assert not refused(most)
    assert refused(more)


TORQUE = "torque: {min: 5 N.m, max: 9 N.m}, wrench: {min: 0 N.m, max: 20 N.m, lever: 9 in}"


def limited(limits: str, quantity: str = "pressure, unit: psi") -> str:
    before = written(
        "before", "", "{reading: pressure, unit: psi, resolution: 1, limits: {max: 9}}"
    )
    return task(
        before,
        written("look", "", f"{{reading: {quantity}, resolution: 1, limits: {{{limits}}}}}"),
    )


def torque_of(limits: str) -> str:
    return limited(limits, "torque, unit: N.m")


@pytest.mark.parametrize(
    "text",
    [
        limited("min: 9, max: 9"),
        limited("of: {spread: [this, before]}, max: 0"),
        limited("min: -273.15", "temperature, unit: degC").replace(
            "resolution: 1", "resolution: 0.01"
        ),
        torque_of(TORQUE),
        torque_of(TORQUE.replace("min: 5", "min: 9")),
        torque_of(TORQUE.replace("max: 20", "max: 5")),
        torque_of(TORQUE.replace("max: 20", "max: 45")),
        torque_of(TORQUE.replace("max: 20", "max: 60") + ", extension: {length: 8 in, angle: 180}"),
        torque_of(f"{TORQUE}, extension: {{length: 8 in, angle: 0}}"),
        task(written("before"), written("look", "wait: {since: before, at_least: 1 h}")),
        task(
            written("before"),
            written(
                "look", "wait: {since: before, at_least: 1 h, at_most: 1 h}\nthen: {late: before}"
            ),
        ),
        task(written("look"), more="counted: {ties: {called: ties, total: 1, start: 1, end: 1}}\n"),
        task(written("look"), more="hearing: {wrong_below: 0.999, at_snr: -20}\n"),
        task(written("look"), more="hearing: {wrong_below: 0.001, at_snr: 60}\n"),
        task(
            written("look", "", READING.replace("resolution: 1", "resolution: 0.00000000000000001"))
        ),
        task(written("look", "each: {a: [one], b: [two]}", "{confirm: look at <a> <b>}")),
    ],
)
def test_what_is_only_just_right_is_taken(text: str) -> None:
    assert read_task(text, "t.yaml")


def test_a_title_of_a_thousand_characters_is_taken_and_one_more_is_refused() -> None:
    head = task(written("look"), states=f"states:\n{PIN}")
    words = "no " * 333 + "n"
    assert not refused(head.replace("A small task", words))
    assert refused(head.replace("A small task", f"{words}n"))


def test_a_file_may_be_nested_thirty_levels_deep() -> None:
    """It is refused all the same, for a title is no list: but for that, and not for its depth."""

    def told(levels: int) -> str:
        with pytest.raises(TaskFileError) as caught:
            read_task(deep(levels), "t.yaml")
        return str(caught.value)

    assert "nested deeper" not in told(30)
    assert "nested deeper than 30 levels" in told(31)
