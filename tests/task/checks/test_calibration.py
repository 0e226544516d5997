"""Tools out of calibration; the day is given, no clock is read."""

from datetime import date

import pytest

from handsfree.task.checks.calibration import CalibrationExpired, refuse_expired
from handsfree.task.equipment import Equipment

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
