"""Tools out of calibration; the day is given, no clock is read."""

from datetime import date

import pytest

from handsfree.task.checks.calibration import (
    CalibrationExpired,
    CalibrationRanOut,
    refuse_expired,
    refuse_expired_since,
)
from handsfree.task.equipment import Equipment
from handsfree.task.model import Task
from handsfree.task.read import read_task
from tests.task.faults import CHOICE, step, task

WRENCH = Equipment(name="Torque wrench", calibrated=True, calibration_due=date(2031, 5, 4))
UNKNOWN = Equipment(name="Thermometer", calibrated=True)


def test_a_tool_may_measure_on_its_last_day() -> None:
    refuse_expired((WRENCH, UNKNOWN), date(2031, 5, 4))


def test_a_tool_whose_day_is_over_is_named_with_both_dates() -> None:
    with pytest.raises(CalibrationExpired) as caught:
        refuse_expired((UNKNOWN, WRENCH), date(2031, 5, 5))
    assert str(caught.value) == (
        "Torque wrench: calibration was due 2031-05-04, today is 2031-05-05. "
        "Take another tool, and write its date in the task file."
    )


def test_every_expired_tool_is_named_at_once() -> None:
    with pytest.raises(CalibrationExpired) as caught:
        refuse_expired((WRENCH, WRENCH), date(2040, 1, 1))
    assert len(str(caught.value).splitlines()) == 2


TOOLS = """\
equipment:
  - {name: Torque wrench, id: wrench, calibrated: true}
  - {name: Depth gauge, id: gauge, calibrated: true}
"""


def read(tool: str) -> tuple[str, str]:
    return (
        step(f"{tool}-number", "", f"{{identity: {tool} number, tool: {tool}}}"),
        step(
            f"{tool}-date",
            f"then: {{expired: {tool}-number}}",
            f"{{date: calibration due, tool: {tool}}}",
        ),
    )


def used(*, back_to: str = "") -> Task:
    """Both tools are read, then each is used; a choice at the end may lead back."""
    then = f"then: {{crack found: {back_to}}}" if back_to else ""
    steps = (
        *(*read("wrench"), *read("gauge")),
        step("tighten", "uses: [wrench]"),
        step("measure", "uses: [gauge]"),
        step("look", then, CHOICE),
    )
    return read_task(task(*steps, more=TOOLS), "t.yaml")


DUE = {"wrench-date": date(2031, 5, 4), "gauge-date": date(2031, 5, 9)}
TIGHTEN, MEASURE, LOOK = 4, 5, 6


def test_a_run_that_goes_on_uses_no_tool_that_has_run_out_since() -> None:
    refuse_expired_since(used(), TIGHTEN, DUE, date(2031, 5, 4))
    with pytest.raises(CalibrationRanOut) as refused:
        refuse_expired_since(used(), TIGHTEN, DUE, date(2031, 5, 5))
    assert str(refused.value) == (
        "wrench: calibration was due 2031-05-04, today is 2031-05-05, and step 'tighten' still "
        "uses it. Begin a new record, and read out the number of another tool there."
    )


def test_a_tool_that_is_used_no_more_may_have_run_out() -> None:
    refuse_expired_since(used(), MEASURE, DUE, date(2031, 5, 5))
    with pytest.raises(CalibrationRanOut, match="and step 'measure' still uses it"):
        refuse_expired_since(used(), MEASURE, DUE, date(2031, 5, 10))
    refuse_expired_since(used(), LOOK, DUE, date(2099, 1, 1))


def test_a_tool_that_was_not_read_yet_is_left_to_the_step_that_reads_it() -> None:
    refuse_expired_since(used(), TIGHTEN, {}, date(2099, 1, 1))


@pytest.mark.parametrize(
    ("back_to", "is_used"), [("measure", False), ("tighten", True), ("gauge-number", True)]
)
def test_a_step_that_leads_back_can_use_what_was_used_before(back_to: str, is_used: bool) -> None:
    again = used(back_to=back_to)
    if is_used:
        with pytest.raises(CalibrationRanOut, match="and step 'tighten' still uses it"):
            refuse_expired_since(again, LOOK, DUE, date(2031, 5, 5))
    else:
        refuse_expired_since(again, LOOK, DUE, date(2031, 5, 5))
