"""Computed limits whose window holds no mark of the gauge at readings that can come before."""

import math
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.task.checks.scales import scale_problems
from handsfree.task.model import Task
from handsfree.task.source import read_source
from tests.how_many import examples
from tests.task.limits_of import complaints_of, task_of, task_text

WARM = "warm temperature degC {min: 0, max: 40}"

NITROGEN = """\
gas: nitrogen
over: warm
over_unit: degC
fill: {at: 20 degC, min: 100.2 bar, max: 100.8 bar}
scale: bar gauge
"""

SETTING = """\
torque: {min: 280 lbf.in, max: 281 lbf.in}
wrench: {min: 30 lbf.in, max: 400 lbf.in, lever: 10 in}
extension: {length: 4 in}
prevailing: {over: run-down, with_extension: false}
"""


def test_a_bottle_whose_window_no_mark_meets_is_refused_with_the_temperature() -> None:
    """At 20 degC, where the charge is given, the window is 100.2 to 100.8 bar: no whole bar."""
    (told,) = complaints_of(WARM, f"press pressure bar {NITROGEN}")
    assert "where 'warm' is " in told
    assert told.endswith(
        "no mark of a scale in steps of 1 is inside these limits. Mend the limits or the resolution"
    )


def test_a_bottle_that_can_be_read_at_every_temperature_is_taken() -> None:
    wide = NITROGEN.replace("100.8", "104")
    assert task_of(WARM, f"press pressure bar {wide}")


def test_a_wrench_setting_between_two_marks_is_refused_with_the_run_down_torque() -> None:
    """Worked by TM 9-254, fig. 4-5, setting = torque * L / (L + E): the first value at fault."""
    at_fault = [
        value
        for value in range(21)
        if math.ceil(Fraction(280 + value) * 10 / 14) > Fraction(281 + value) * 10 / 14
    ]
    assert at_fault
    (told,) = complaints_of(
        "run-down torque lbf.in {min: 0, max: 20}", f"nut torque lbf.in {SETTING}"
    )
    assert any(f"where 'run-down' is {value} no mark" in told for value in at_fault)


def test_an_alignment_between_two_marks_is_refused_with_both_readings() -> None:
    (told,) = complaints_of(
        "a length mm {min: 1, max: 3}",
        "b length mm {min: 1, max: 3}",
        "c length mm {of: {sum: [this, a, b]}, min: 5.2, max: 5.8}",
    )
    assert "where 'a' is 1 and 'b' is 1 no mark of a scale in steps of 1 is inside" in told


def test_limits_that_rest_on_nothing_earlier_are_looked_at_too() -> None:
    alone = SETTING.replace("prevailing: {over: run-down, with_extension: false}\n", "")
    narrow = alone.replace("min: 280", "min: 280.1").replace("max: 281", "max: 281.3")
    (told,) = complaints_of(f"nut torque lbf.in {narrow}")
    assert "no mark of a scale in steps of 1 is inside these limits" in told


def test_a_reading_that_its_own_limits_forbid_is_not_held_against_the_next() -> None:
    """`b` is within 1 of `a`, so `c` never sees the 0 and 9 that would leave it no mark."""
    assert task_of(
        "a length mm {min: 0, max: 9}",
        "b length mm {of: {spread: [this, a]}, max: 1}",
        "c length mm {of: {spread: [this, a, b]}, max: 2}",
    )


def test_a_chain_of_very_many_readings_is_over_soon() -> None:
    """Each rests on all before it: taken one by one, their ways would double with every step."""
    steps = ["s0 length mm {min: 0, max: 999999}"]
    for at in range(1, 40):
        names = ", ".join(f"s{each}" for each in range(at))
        steps.append(f"s{at} length mm {{of: {{spread: [this, {names}]}}, max: 5}}")
    assert len(task_of(*steps).steps) == 40


@settings(max_examples=examples(60))
@given(
    st.integers(-30, 30), st.integers(0, 6), st.integers(-400, 400), st.integers(0, 40),
    st.integers(1, 9),
)  # fmt: skip
def test_what_is_found_is_what_trying_every_value_finds(
    start: int, more: int, low: int, wide: int, resolution: int
) -> None:
    """Against brute force over every value of the earlier reading; limits in tenths, exact."""
    least, most = Fraction(low, 10), Fraction(low + wide, 10)
    fixed = f"{{min: {start}, max: {start + more}}}"
    limits = f"{{of: {{difference: [this, a]}}, min: {float(least)}, max: {float(most)}}}"
    first, second = task_text(f"a length mm {fixed}", f"b length mm {limits}").split("- id: b")
    second = second.replace("resolution: 1", f"resolution: {resolution}")
    source = read_source(f"{first}- id: b{second}", "t.yaml")
    at_fault = [
        a
        for a in range(start, start + more + 1)
        if not any(least <= mark - a <= most for mark in range(0, 100, resolution))
        and not any(least <= mark - a <= most for mark in range(0, -100, -resolution))
    ]
    found = list(scale_problems(Task.model_validate(source.value), source))
    assert bool(found) == bool(at_fault)
    if found:
        assert any(f"where 'a' is {a} no mark" in found[0].what for a in at_fault)
