"""Readings are shown against the limits that were held at that moment."""

from pathlib import Path

import pytest

from tests.page.records import page_of_run


def test_a_reading_lies_where_it_is_between_its_limits(tmp_path: Path) -> None:
    torque = page_of_run("perfect", tmp_path / "run").readings[-1]
    assert (torque.step, torque.value, torque.limits) == ("torque", "15", "10 to 20")
    assert (torque.margin, torque.inside) == ("5", True)
    # A quarter of the width is shown on each side, so the limits lie at 1/6 and 5/6.
    assert (torque.lowest_at, torque.at, torque.highest_at) == pytest.approx((100 / 6, 50, 500 / 6))


def test_what_was_undone_is_shown_as_such(tmp_path: Path) -> None:
    page = page_of_run("undone", tmp_path / "run")
    assert [(each.step, each.value, each.undone) for each in page.readings] == [
        ("pressure", "1500", False),
        ("torque", "15", True),
        ("torque", "16", False),
    ]
