"""A task file that is wrong is refused with file, line, column, what is wrong and what to write."""

from contextlib import suppress
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.task.expectations import ReadingExpected
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from tests.shipped_tasks import TASKS

GOOD = """\
task: pin-and-pressure
title: Check a bottle
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: bottle}
states:
  pin: {called: safety pin, values: [fitted, removed], start: removed, end: removed}
steps:
  - id: fit-pin
    instruction: Fit the pin.
    expect: {confirm: pin fitted}
    sets: {pin: fitted}
  - id: temperature
    instruction: Read the temperature.
    expect:
      reading: temperature
      unit: degC
      resolution: 1
      limits: {min: -20, max: 50}
  - id: pressure
    instruction: Read the pressure.
    needs: {pin: fitted}
    expect:
      reading: pressure
      unit: psi
      resolution: 10
      limits:
        over: temperature
        table:
          - {at: -20, min: 2500, max: 2800}
          - {at: 50, min: 3000, max: 3300}
  - id: remove-pin
    instruction: Remove the pin.
    expect: {confirm: pin removed}
    sets: {pin: removed}
"""


def mend(old: str, new: str) -> str:
    assert GOOD.count(old) >= 1, old
    return GOOD.replace(old, new, 1)


def complaint(text: str) -> str:
    with pytest.raises(TaskFileError) as caught:
        read_task(text, "t.yaml")
    return str(caught.value)


@pytest.mark.parametrize("path", TASKS, ids=lambda path: path.stem)
def test_the_tasks_that_come_with_it_are_sound(path: Path) -> None:
    assert read_task(path.read_text(encoding="utf-8"), path.name).steps


def test_a_number_is_the_decimal_that_was_written() -> None:
    task = read_task(mend("resolution: 10", "resolution: 0.10"), "t.yaml")
    expected = task.steps[2].expect
    assert isinstance(expected, ReadingExpected)
    assert str(expected.resolution) == "0.10"
    assert isinstance(expected.resolution, Decimal)


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        (
            "    instruction: Fit the pin.",
            "    instuction: Fit the pin.",
            "t.yaml:10:5: unknown key 'instuction'. Did you mean 'instruction'? Known here: id, "
            "warning, caution, note, instruction, expect, each, applies, needs, sets, counts_out, "
            "counts_in, uses, wait, then, deferral, critical, by, "
            "read_back, inspection, because, todo",
        ),
        (
            "unit: psi",
            "unit: bars",
            "t.yaml:25:7: unknown unit 'bars'. For pressure write one of psi, bar, kPa",
        ),
        (
            "unit: psi",
            "unit: N.m",
            "t.yaml:25:7: N.m measures torque, not pressure. Write one of psi, bar, kPa",
        ),
        (
            "reading: pressure",
            "reading: presure",
            "t.yaml:24:7: unknown quantity 'presure'. Write one of pressure, temperature, "
            "temperature difference, torque, force, length, angle, volume, flow, drop rate, "
            "percentage, time, voltage, resistance, count",
        ),
        (
            "id: pressure",
            "id: temperature",
            "t.yaml:20:5: step id 'temperature' is used twice, first in line 13. "
            "Give each step its own id",
        ),
        (
            "needs: {pin: fitted}",
            "needs: {lock: fitted}",
            "t.yaml:22:13: unknown state 'lock'. Known: pin",
        ),
        (
            "needs: {pin: fitted}",
            "needs: {pin: in}",
            "t.yaml:22:13: 'in' is not a value of state 'pin'. Write fitted or removed",
        ),
        (
            "limits: {min: -20, max: 50}",
            "limits: {min: 50, max: -20}",
            "t.yaml:19:7: the limits cross: min 50 is above max -20. Exchange or mend them",
        ),
        (
            "limits: {min: -20, max: 50}",
            "limits: {}",
            "t.yaml:19:7: limits without a limit. Write min, max or both",
        ),
        (
            "limits: {min: -20, max: 50}",
            "limits: {min: -30, max: 50}",
            "t.yaml:29:9: the limits of 'temperature' allow values outside this table. "
            "Give 'temperature' a min and max within -20 to 50",
        ),
        (
            "over: temperature",
            "over: pressure",
            "t.yaml:28:9: no earlier step 'pressure' takes a reading. "
            "Earlier readings: temperature",
        ),
        (
            "{at: 50, min: 3000, max: 3300}",
            "{at: -30, min: 3000, max: 3300}",
            "t.yaml:27:7: table rows out of order: -30 follows -20. "
            "Write the rows with rising values of 'at'",
        ),
        (
            "{at: 50, min: 3000, max: 3300}",
            "{at: 50, min: 3000}",
            "t.yaml:27:7: only some table rows have 'max'. Give it in all rows or in none",
        ),
        (
            "resolution: 10",
            "resolution: ten",
            "t.yaml:26:7: 'ten' is no number. Write a plain number such as 12.5",
        ),
        (
            "resolution: 10",
            "resolution: .nan",
            "t.yaml:26:7: '.nan' is no number. Write a plain number such as 12.5",
        ),
        (
            "resolution: 10",
            "resolution: 1e-999999999",
            "t.yaml:26:7: '1e-999999999' has more than 18 figures. Write a number that a gauge can "
            "show",
        ),
        (
            "max: 50}",
            "max: Infinity}",
            "t.yaml:19:26: 'Infinity' is no number. Write a plain number such as 12.5",
        ),
        (
            "expect: {confirm: pin fitted}",
            "expect: {confirm: affirm}",
            "t.yaml:11:14: 'affirm' is a standard word and cannot confirm a step by itself. "
            "Write a phrase that names what was done, such as 'pin in'",
        ),
        (
            "expect: {confirm: pin fitted}",
            "expect: {confirm: two five}",
            "t.yaml:11:5: 'two five' is a number, so it could be taken for a reading. "
            "Write a phrase that names what was done",
        ),
        (
            "expect: {confirm: pin fitted}",
            "expect: {confirm: Pin fitted}",
            "t.yaml:11:14: 'Pin fitted' is not written as it must be. "
            "Write lower case words with single spaces, as they are spoken, such as 'pin in'",
        ),
        (
            "expect: {confirm: pin fitted}",
            "expect: {conform: pin fitted}",
            "t.yaml:11:5: the step expects nothing that can be heard. "
            "Write one of confirm, reading, identity, date, choose",
        ),
        (
            "expect: {confirm: pin fitted}",
            "expect:",
            "t.yaml:12:5: the step sets a state but expects nothing to be heard. "
            "Add an expect, so that a person confirms the change",
        ),
        (
            "instruction: Fit the pin.",
            "instruction: " + "word " * 21,
            "t.yaml:10:5: the instruction has 21 words. Use at most 20: split the step",
        ),
        (
            "start: removed",
            "start: lost",
            "t.yaml:7:56: start 'lost' is not one of the values. Write fitted or removed",
        ),
        (
            "title: Check a bottle",
            "title: Check a bottle\nequipment:\n"
            "  - {name: Gauge, calibrated: true, calibration_due: 17}",
            "t.yaml:4:37: '17' is not a date. Write year, month and day, such as 2031-05-04",
        ),
        (
            "title: Check a bottle",
            "title: Check a bottle\nequipment:\n  - {name: Gauge, calibration_due: 2031-05-04}",
            "t.yaml:4:19: a calibration date on a tool that is not calibrated. "
            "Write calibrated: true, or leave the date out",
        ),
        (
            "instruction: Fit the pin.",
            "instruction: Fit the pin.\n    todo: [name the pin, find its number]",
            "t.yaml:11:5: still a draft, to do: name the pin; find its number. "
            "Do it, then delete this 'todo'",
        ),
        (
            'revision: "1"',
            'revision: "1"\ntodo: compare it with the data',
            "t.yaml:4:1: still a draft, to do: compare it with the data. "
            "Do it, then delete this 'todo'",
        ),
        ("title: Check a bottle\n", "", "t.yaml:1:1: key 'title' is missing. Write it"),
        (
            'revision: "1"',
            'revision: "1"\nrevision: "2"',
            "t.yaml:4:1: key 'revision' is written twice, first in line 3. Keep one of them",
        ),
        (
            'revision: "1"',
            "revision: &one 1",
            "t.yaml:3:11: anchors and aliases (& and *) are not allowed. Write the value out",
        ),
    ],
)
def test_a_mistake_is_named_with_its_place(old: str, new: str, line: str) -> None:
    assert complaint(mend(old, new)) == line


def test_the_good_file_is_good() -> None:
    assert len(read_task(GOOD, "t.yaml").steps) == 4


def test_a_never_rule_that_the_order_breaks_is_named_with_its_reason() -> None:
    rule = "never:\n  - when: {pin: removed}\n    because: it can move\nsteps:"
    lines = complaint(mend("steps:", rule)).splitlines()
    assert lines[0] == (
        "t.yaml:6:1: at the start this must never be: pin removed; because it can move. "
        "Mend the order of the steps"
    )
    assert "after step 'remove-pin' this must never be: pin removed" in lines[1]


def test_an_empty_list_is_named() -> None:
    text = GOOD[: GOOD.index("steps:")] + "steps: []\n"
    assert complaint(text) == "t.yaml:8:1: 'steps' has none, and needs 1. Add what is missing"


def test_a_wrong_step_is_not_told_of_as_a_missing_one() -> None:
    text = GOOD[: GOOD.index("steps:")] + "steps:\n  - id: only\n"
    assert complaint(text) == "t.yaml:9:5: key 'instruction' is missing. Write it"


def test_every_mistake_of_the_file_is_told_at_once() -> None:
    text = GOOD.replace("unit: psi", "unit: bars").replace("confirm: pin fitted", "confirm: Pin")
    assert len(complaint(text).splitlines()) == 2


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("", "t.yaml:1:1: the file is empty. Write a task in it"),
        (
            "task: [a\nb: c",
            "t.yaml:2:2: not YAML: expected ',' or ']', but got ':'. Mend the line or its indent",
        ),
        (
            "task: a\n\tb: c",
            "t.yaml:2:1: not YAML: found character '\\t' that cannot start any token. "
            "Mend the line or its indent",
        ),
        ("a\x00", "t.yaml:1:1: a character that YAML does not allow: U+0000. Delete it"),
        (
            "- a",
            "t.yaml:1:1: keys with values must stand here. Write 'key: value' lines",
        ),
        ("[" * 100 + "]" * 100, "t.yaml:1:32: nested deeper than 30 levels. "),
        (
            GOOD.replace("{confirm: pin fitted}", "pin fitted"),
            "t.yaml:11:5: the step expects nothing that can be heard. Write one of confirm",
        ),
        ("? [a]\n: b", "t.yaml:1:3: a key is not plain text. Write a name"),
        (
            "a: x\n" * 300_000,
            "t.yaml:1:1: the file has 1,500,000 characters. A task has at most 1,000,000",
        ),
    ],
)
def test_a_file_that_is_no_task_is_refused(text: str, line: str) -> None:
    assert complaint(text).startswith(line)


@given(st.text(max_size=300))
def test_any_text_is_a_task_or_a_task_file_error(text: str) -> None:
    with pytest.raises(TaskFileError):
        read_task(text, "t.yaml")


@given(st.data())
def test_a_task_file_cut_anywhere_never_breaks_the_reader(data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(GOOD)))
    end = data.draw(st.integers(start, len(GOOD)))
    text = GOOD[:start] + GOOD[end:]
    with suppress(TaskFileError):
        read_task(text, "t.yaml")
