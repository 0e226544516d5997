"""Mistakes in how a task branches, waits and counts are told with what to write instead."""

from datetime import timedelta

import pytest

from handsfree.task.course import ways
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from tests.task.faults import CHOICE, PIN, READING, step, task

TIES = "counted: {ties: {called: harness ties, total: 6, end: 6}}\n"


def complaint(text: str) -> str:
    with pytest.raises(TaskFileError) as caught:
        read_task(text, "t.yaml")
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            task(step("measure", "then: {below: mesure}", READING), step("measured")),
            "t.yaml:12:12: there is no step 'mesure' to lead to. Did you mean 'measured'?",
        ),
        (
            task(step("look", "then: {done: nowhere}")),
            "t.yaml:12:12: there is no step 'nowhere' to lead to. Write the id of a step, or 'end'",
        ),
        (
            task(step("look", "then: look")),
            "t.yaml:12:5: step 'look' leads to itself. "
            "Leave it out where the step is only to be tried again: it always is",
        ),
        (
            task(step("look", "deferral: {authority: them, go: look}")),
            "t.yaml:12:5: step 'look' leads to itself. "
            "Leave it out where the step is only to be tried again: it always is",
        ),
        (
            task(step("end")),
            "t.yaml:9:5: a step cannot be called 'end', which ends the task. Give it another id",
        ),
        (
            task(step("look", "then: {below: look-on}"), step("look-on")),
            "t.yaml:12:12: step 'look' has no outcome 'below'. It can have: done",
        ),
        (
            task(step("look", "then: {crack: end}", CHOICE)),
            "t.yaml:12:12: step 'look' has no outcome 'crack'. "
            "It can have: all good, crack found, seal torn, done",
        ),
        (
            task(step("look", "then: {above: end}", READING.replace(", max: 40", ""))),
            "t.yaml:12:12: step 'look' has no outcome 'above'. It can have: inside, below, done",
        ),
        (
            task(step("look", "", "{choose: [late, early]}")),
            "t.yaml:11:14: the choice 'late' is also the name of an outcome. "
            "Write a phrase that names what is found",
        ),
        (
            task(step("look", "then: {done: {goes: end}}")),
            "t.yaml:12:19: unknown key 'goes'. Did you mean 'go'? Known here: go, sets, planned",
        ),
        (
            task(step("look", "then: {done: {sets: {pin: lost}}}")),
            "t.yaml:12:26: 'lost' is not a value of state 'pin'. Write fitted or removed",
        ),
        (
            task(step("look", "deferral: {sets: {pin: fitted}}")),
            "t.yaml:12:5: key 'authority' is missing. Write it",
        ),
        (
            task(step("look", "applies: {side: left}")),
            "t.yaml:12:15: unknown state 'side'. Known: pin",
        ),
        (
            task(step("look", "applies: {pin: {not: [fitted, removed]}}")),
            "t.yaml:12:15: no value of 'pin' is left. Exclude fewer of them",
        ),
        (
            task(step("look", "needs: {pin: {knot: fitted}}")),
            "t.yaml:12:19: unknown key 'knot'. Did you mean 'not'? Known here: not",
        ),
        (
            task(step("look", "needs: {pin: unknown}")),
            "t.yaml:12:13: 'unknown' is not a value of state 'pin'. Write fitted or removed",
        ),
        (
            task(step("look"), states="states:\n" + PIN.replace("removed]", "unknown]")),
            "t.yaml:7:22: 'unknown' cannot be a value: it means that the value is not known. "
            "Leave it out; 'start: unknown' can be written all the same",
        ),
        (
            task(step("look"), states="states:\n" + PIN.replace("end: fitted", "end: unknown")),
            "t.yaml:7:64: end 'unknown' is not one of the values. Write fitted or removed",
        ),
        (
            task(step("look"), more="variants: {pin: [left, right]}\n"),
            "t.yaml:7:3: 'pin' is already a name under 'variants'. Give each its own name",
        ),
        (
            task(step("look"), more="variants: {side: [left]}\n"),
            "t.yaml:8:12: 'side' has 1, and needs 2. Add what is missing",
        ),
        # Waits.
        (
            task(step("look", "wait: {since: nothing, at_least: 5 min}")),
            "t.yaml:12:12: 'nothing' is not another step that is answered. "
            "Name the step whose answer the time is counted from",
        ),
        (
            task(step("look"), step("go", "wait: {since: look, at_least: soon}")),
            "t.yaml:15:25: 'soon' is not a time. Write a number and s, min or h, such as '10 min'",
        ),
        (
            task(step("look"), step("go", f"wait: {{since: look, at_most: {10**9} h}}")),
            "t.yaml:15:25: '1000000000 h' is not a time. "
            "Write a number and s, min or h, such as '10 min'",
        ),
        (
            task(step("look"), step("go", "wait: {since: look}")),
            "t.yaml:15:5: a wait without a time. Write at_least, at_most or both",
        ),
        (
            task(step("look"), step("go", "wait: {since: look, at_least: 2 min, at_most: 90 s}")),
            "t.yaml:15:5: the times cross: at_least is longer than at_most. Exchange or mend them",
        ),
        (
            task(step("look"), step("go", "wait: {since: look, at_most: 1.5 h}")),
            "t.yaml:15:25: nothing says what follows when step 'go' is too late. "
            "Add 'then: {late: STEP}'",
        ),
        # Counts.
        (
            task(step("take", "counts_out: {tie: 6}"), more=TIES),
            "t.yaml:13:18: nothing is counted by the name 'tie'. Known: ties",
        ),
        (
            task(step("take", "counts_out: {ties: 0}"), more=TIES),
            "t.yaml:13:18: '0' is below 1. Write 1 or more",
        ),
        (
            task(step("take", "counts_out: {ties: six}"), more=TIES),
            "t.yaml:13:18: 'six' is no whole number. Write a whole number such as 4",
        ),
        (
            task(step("take"), more=TIES.replace("end: 6", "end: 7")),
            "t.yaml:8:50: end 7 is more than the total, 6. Write at most 6, or mend the total",
        ),
        (
            task(
                step("take").replace("expect: {confirm: take done}", "counts_out: {ties: 6}"),
                more=TIES,
            ),
            "t.yaml:12:5: the step counts something out but expects nothing to be heard. "
            "Add an expect, so that a person confirms the change",
        ),
        # Scales.
        (
            task(step("look", "", READING.replace("min: 0, max: 40", "min: 0.2, max: 0.8"))),
            "t.yaml:11:63: no mark of a scale in steps of 1 is inside these limits. "
            "Mend the limits or the resolution",
        ),
        (
            task(
                step("warm", "", READING),
                step(
                    "look",
                    "",
                    "{reading: pressure, unit: psi, resolution: 100, limits: {over: warm, "
                    "table: [{at: 0, min: 90, max: 110}, {at: 40, min: 130, max: 150}]}}",
                ),
            ),
            "t.yaml:14:82: at 11 no mark of a scale in steps of 100 is inside these limits. "
            "Mend the table or the resolution",
        ),
    ],
)
def test_a_mistake_is_told_with_its_place_and_what_to_write(text: str, told: str) -> None:
    assert complaint(text) == told


@pytest.mark.parametrize(
    ("written", "time"),
    [
        ("10 min", timedelta(minutes=10)),
        ("90s", timedelta(seconds=90)),
        ("1.5 h", timedelta(minutes=90)),
        ("0.25 s", timedelta(milliseconds=250)),
    ],
)
def test_a_time_is_read_as_it_is_written(written: str, time: timedelta) -> None:
    text = task(step("look"), step("go", f"wait: {{since: look, at_least: {written}}}"))
    wait = read_task(text, "t.yaml").steps[1].wait
    assert wait is not None
    assert wait.at_least == time


def test_the_word_done_leads_every_choice_that_has_no_exit_of_its_own() -> None:
    text = task(
        step("look", "then: {crack found: end, done: go}", CHOICE), step("skip"), step("go")
    )
    assert "no way leads to step 'skip'" in complaint(text)


def test_what_an_exit_sets_counts_more_than_what_its_step_sets() -> None:
    exits = "sets: {pin: fitted}\nthen: {crack found: {sets: {pin: removed}}}"
    look = step("look", exits, "{choose: [all good, crack found]}")
    text = task(look, step("fit-pin", "sets: {pin: fitted}"))
    found = ways(read_task(text, "t.yaml").steps[0])
    assert [(way.outcome, way.sets) for way in found] == [
        ("all good", {"pin": "fitted"}),
        ("crack found", {"pin": "removed"}),
    ]


def test_a_step_that_is_left_undone_changes_only_what_its_exit_sets() -> None:
    look = step("look", "sets: {pin: fitted}\ndeferral: {authority: them}", READING)
    _, deferred = ways(read_task(task(look), "t.yaml").steps[0])
    assert (deferred.outcome, deferred.done, deferred.sets) == ("deferred", False, {})
