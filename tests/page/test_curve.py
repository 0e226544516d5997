"""A pressure is drawn in the window that its temperature leaves it."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from handsfree.engine.entries import ReadingTaken
from handsfree.page.curve import HEIGHT, WIDTH, Curve, curves
from handsfree.record.passes import End, Pass
from handsfree.record.speakers import Speaker
from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.forms import Verdict
from handsfree.task.roles import Role
from tests.long_task import long_task

TASK = long_task()


def passed(step: str, value: str, unit: str, end: End = End.DONE) -> Pass:
    taken = ReadingTaken(
        step, Decimal(value), unit, value, Verdict.INSIDE, None, None, corrects=False
    )
    at = datetime(2031, 5, 4, tzinfo=UTC)
    return Pass(step, 0, at, Speaker(Role.TECHNICIAN), None, end=end, taken=taken)


def drawn(temperature: str = "20", pressure: str = "2980") -> Curve:
    [curve] = curves(
        TASK,
        [
            passed("bottle-temperature", temperature, "degC"),
            passed("bottle-pressure", pressure, "psi"),
        ],
    )
    return curve


def corners(curve: Curve) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in (each.split(",") for each in curve.band.split())]


def test_it_is_drawn_over_all_that_the_temperature_may_be() -> None:
    """From 0 to 40 degrees, as its own step has it."""
    curve = drawn()
    assert (curve.left, curve.right) == ("0 degC", "40 degC")
    assert curve.x == pytest.approx(WIDTH / 2)
    assert {min(x for x, _ in corners(curve)), max(x for x, _ in corners(curve))} == {0, WIDTH}


def test_what_is_inside_lies_in_the_band_and_what_is_not_lies_out_of_it() -> None:
    """The limits at 20 degrees are those that the run judged by."""
    step = next(each for each in TASK.steps if each.id == "bottle-pressure")
    assert isinstance(step.expect, ReadingExpected)
    bounds = step.expect.limits.bounds({"bottle-temperature": Decimal(20)})
    assert bounds.lowest is not None
    assert bounds.highest is not None
    for value, inside in (
        (bounds.lowest + 5, True),
        (bounds.highest - 5, True),
        (bounds.lowest - 5, False),
        (bounds.highest + 5, False),
    ):
        curve = drawn(pressure=f"{float(value):.0f}")
        points = corners(curve)
        half = len(points) // 2
        upper = next(y for x, y in points[:half] if x == pytest.approx(curve.x))
        lower = next(y for x, y in points[half:] if x == pytest.approx(curve.x))
        assert (upper <= curve.y <= lower) is inside
        assert 0 <= curve.y <= HEIGHT


def test_the_band_rises_with_the_temperature() -> None:
    upper = [y for _, y in corners(drawn())[:33]]
    assert upper == sorted(upper, reverse=True)


def test_without_the_other_reading_or_with_one_that_does_not_hold_there_is_none() -> None:
    pressure = passed("bottle-pressure", "2980", "psi")
    assert list(curves(TASK, [pressure])) == []
    undone = passed("bottle-temperature", "20", "degC")
    undone.undone = True
    assert list(curves(TASK, [undone, pressure])) == []


def test_fixed_limits_have_no_curve() -> None:
    assert list(curves(TASK, [passed("left-bolt", "24", "N.m")])) == []
