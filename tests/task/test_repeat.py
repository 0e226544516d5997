"""A step that is written once and done for each thing in a list."""

import pytest

from handsfree.task.expectations import ConfirmExpected, ReadingExpected
from handsfree.task.model import Task
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from tests.task.faults import READING, step, task

BOLTS = "each: {bolt: [left upper, right lower]}\n"


def read(*steps: str) -> Task:
    return read_task(task(*steps), "t.yaml")


def complaint(*steps: str) -> str:
    with pytest.raises(TaskFileError) as caught:
        read(*steps)
    return str(caught.value)


def test_the_step_is_done_for_each_thing_in_the_order_of_the_list() -> None:
    assert [each.id for each in read(step("bolt", BOLTS)).steps] == [
        "bolt-left-upper",
        "bolt-right-lower",
    ]


def test_each_step_knows_the_thing_at_hand() -> None:
    assert [dict(each.each) for each in read(step("bolt", BOLTS)).steps] == [
        {"bolt": ("left upper",)},
        {"bolt": ("right lower",)},
    ]


def test_the_mark_becomes_the_thing_in_every_text() -> None:
    first, _ = read(
        step("tighten", BOLTS + "warning: Mind the <bolt> bolt.", "{confirm: <bolt> tight}")
    ).steps
    assert first.warning == ("Mind the left upper bolt.",)
    assert first.expect == ConfirmExpected(confirm="left upper tight")


def test_each_has_a_reading_of_its_own() -> None:
    both = read(step("torque", BOLTS, READING)).steps
    assert all(isinstance(each.expect, ReadingExpected) for each in both)


def test_in_a_name_the_thing_is_written_with_hyphens() -> None:
    text = task(
        step("pull", "each: {thing: [main pin, side pin]}\nsets: {<thing>: out}"),
        states="states:\n"
        "  main-pin: {called: pin, values: [in, out], start: in, end: out}\n"
        "  side-pin: {called: pin, values: [in, out], start: in, end: out}\n",
    )
    assert [dict(each.sets) for each in read_task(text, "t.yaml").steps] == [
        {"main-pin": "out"},
        {"side-pin": "out"},
    ]


def test_a_jump_to_a_repeated_step_leads_to_its_first_thing() -> None:
    *_, last = read(step("bolt", BOLTS), step("look", "then: {below: bolt}", READING)).steps
    assert last.then["below"].go == "bolt-left-upper"


def test_a_wait_counts_from_the_last_thing() -> None:
    *_, last = read(step("glue", BOLTS), step("go", "wait: {since: glue, at_least: 5 min}")).steps
    assert last.wait is not None
    assert last.wait.since == "glue-right-lower"


def test_a_mistake_in_it_is_told_where_it_is_written() -> None:
    assert complaint(step("bolt", BOLTS + "needs: {lid: shut}")) == (
        "t.yaml:13:13: unknown state 'lid'. Known: pin"
    )


def test_a_mark_that_stands_for_nothing_is_told() -> None:
    assert complaint(step("bolt", BOLTS + "note: Mind the <blot>.")).splitlines()[0] == (
        "t.yaml:9:5: '<blot>' stands for nothing in step 'bolt-left-upper'. "
        "Add 'each: {blot: [...]}' with what it stands for"
    )


@pytest.mark.parametrize(
    ("each", "told"),
    [
        ("each: {bolt: []}", "'bolt' has fewer than 1. Add what is missing"),
        ("each: bolts", "'bolts': keys with values must stand here. Write 'key: value' lines"),
        ("each: {bolt: Left}", "'Left': a list must stand here. Write a list"),
        ("each: {bolt: [Left]}", "'Left' is not written as it must be"),
        (
            "each: {bolt: [one], nut: [one]}",
            "'each' has more than 1. Keep one of them",
        ),
        ("each: {bolt: [left, left]}", "step id 'bolt-left' is used twice, first in line 9"),
    ],
)
def test_a_list_that_is_no_list_is_told(each: str, told: str) -> None:
    assert told in complaint(step("bolt", each))


def test_a_short_file_cannot_grow_without_bound() -> None:
    many = ", ".join(["left"] * 2_501)
    steps = [
        step(
            f"bolt-{at}".translate(str.maketrans("0123456789", "abcdefghij")),
            f"each: {{bolt: [{many}]}}",
        )
        for at in range(2)
    ]
    assert complaint(*steps) == (
        "t.yaml:8:1: the task has more than 5,000 steps. Split it into several tasks"
    )
