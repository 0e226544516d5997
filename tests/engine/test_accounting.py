"""Counting in: what is missing keeps the task open, and is told with where it was seen last.

That a tool count closes the work answers EASA Part-145, 145.A.48(a), from memory.
"""

from handsfree.engine.effects import Speech
from handsfree.engine.entries import CountDiffers, ReadingTaken
from handsfree.engine.phase import Phase
from handsfree.task.read import read_task
from tests.engine.tools import TO_BACK, TO_PINS, TO_TIGHTEN, TOOLS, at


def test_a_missing_tool_is_recorded_with_item_out_in_missing_and_last_steps() -> None:
    run = at(*TO_BACK, "one")
    assert isinstance(run.written[0], ReadingTaken)
    assert run.written[1:] == [
        CountDiffers(
            step="put-back",
            item="tools",
            out=2,
            counted_in=1,
            missing=1,
            last_seen=(("tools", "take-out"), ("wrench", "tighten"), ("socket", "tighten")),
        )
    ]


def test_what_is_missing_is_said_with_the_last_step_where_it_was_seen() -> None:
    assert at(*TO_PINS, "one").did == [
        ReadingTaken,
        CountDiffers,
        Speech.READ_BACK,
        Speech.READ_BACK,
        Speech.QUESTION,
    ]


def test_each_tool_that_is_counted_is_told_where_it_was_used() -> None:
    assert at(*TO_BACK, "zero").did == [
        ReadingTaken,
        CountDiffers,
        Speech.READ_BACK,
        Speech.READ_BACK,
        Speech.QUESTION,
    ]


def test_one_too_many_is_told_as_well() -> None:
    run = at(*TO_PINS, "three")
    assert run.did == [
        ReadingTaken,
        CountDiffers,
        Speech.READ_BACK,
        Speech.READ_BACK,
        Speech.QUESTION,
    ]
    assert [each.missing for each in run.written if isinstance(each, CountDiffers)] == [-1]


def test_the_task_stays_open_until_nothing_is_missing() -> None:
    run = at(*TO_BACK, "one", "affirm")
    assert run.step == "put-back"
    assert run.state.phase is Phase.OUTSIDE
    run.say("unable", "one is missing", "part", "go ahead", "two", "affirm")
    assert run.finished
    assert dict(run.state.counts) == {"tools": 0, "pins": 0}


def test_what_is_all_there_is_not_told_of() -> None:
    assert at(*TO_BACK, "two").did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]


def test_another_reading_that_also_counts_something_in_is_no_count() -> None:
    torque = "{reading: torque, unit: N.m, resolution: 1, limits: {min: 20, max: 30}}\n"
    text = TOOLS.replace(torque + "    uses", torque + "    counts_in: {pins: 1}\n    uses")
    task = read_task(
        text.replace("counts_in: {pins: 2}", "counts_in: {pins: 1}").replace(
            "called: pins, unit: each, resolution: 1, limits: {min: 2, max: 2}",
            "called: pins, unit: each, resolution: 1, limits: {min: 1, max: 1}",
        ),
        "t.yaml",
    )
    run = at(*TO_TIGHTEN, "one niner", task=task)
    assert [type(each) for each in run.written] == [ReadingTaken]


def test_a_count_that_is_corrected_to_less_is_told_of_too() -> None:
    assert at(*TO_BACK, "two", "correction one").did == [
        ReadingTaken,
        CountDiffers,
        Speech.READ_BACK,
        Speech.READ_BACK,
        Speech.QUESTION,
    ]


def test_where_two_persons_count_what_is_missing_is_told_after_the_second() -> None:
    last = "counts_in: {tools: 2}\n"
    task = read_task(TOOLS.replace(last, last + "    read_back: true\n"), "t.yaml")
    run = at(*TO_BACK, "one", task=task)
    assert "missing" not in run.answer
    run.say("second one")
    assert "two out, one in, one missing" in run.answer
    assert CountDiffers in [type(each) for each in run.written]
