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


def test_limits_that_rest_on_a_step_that_takes_no_reading_before_are_told_of_elsewhere() -> None:
    (told,) = complaints_of("b length mm {of: {spread: [this, a]}, max: 2}")
    assert "no earlier step 'a' takes a reading" in told


# At one end of the table the limits hold no mark of a scale in tens; inside it they do.
NO_MARK = "min: 101, max: 109"
A_MARK = "min: 100, max: 130"


def over_warm(
    first: str, last: str, warm: str = "{min: 0, max: 40}", at: tuple[int, int] = (0, 40)
) -> str:
    """A task with a pressure in steps of 10 over a table with these two rows."""
    table = f"{{over: warm, table: [{{at: {at[0]}, {first}}}, {{at: {at[1]}, {last}}}]}}"
    first_step, second = task_text(
        f"warm temperature degC {warm}", f"press pressure psi {table}"
    ).split("- id: press")
    return f"{first_step}- id: press{second.replace('resolution: 1', 'resolution: 10')}"


def told_over(text: str) -> list[str]:
    source = read_source(text, "t.yaml")
    return [each.what for each in scale_problems(Task.model_validate(source.value), source)]


def at(value: int) -> list[str]:
    return [f"at {value} no mark of a scale in steps of 10 is inside these limits"]


def test_the_first_and_the_last_row_of_a_table_are_looked_at() -> None:
    assert told_over(over_warm(A_MARK, A_MARK)) == []
    assert told_over(over_warm(NO_MARK, A_MARK)) == at(0)
    assert told_over(over_warm("min: 100, max: 1300", NO_MARK)) == at(40)


def test_of_a_table_that_covers_more_only_what_can_be_read_is_looked_at() -> None:
    wide = ("min: 101, max: 109", "min: 500, max: 900")
    assert told_over(over_warm(*wide, "{min: 20, max: 40}")) == []
    assert told_over(over_warm(*wide, "{min: 0, max: 40}")) == at(0)


def test_of_readings_beyond_a_table_nothing_is_said_here() -> None:
    """They have no limits, so no value of theirs is accepted in a run."""
    beyond = "{min: -50, max: 90}"
    assert told_over(over_warm(A_MARK, A_MARK, beyond)) == []
    assert told_over(over_warm(NO_MARK, A_MARK, beyond)) == at(0)
    assert told_over(over_warm("min: 100, max: 1300", NO_MARK, beyond)) == at(40)


def test_where_the_other_reading_has_one_limit_or_very_many_marks_the_rows_are_looked_at() -> None:
    for other in ("{min: 0}", "{max: 40}", "{min: 0, max: 2000}"):
        assert told_over(over_warm(A_MARK, A_MARK, other)) == []
        assert told_over(over_warm("min: 100, max: 1300", NO_MARK, other)) == at(40)


def test_between_rows_two_thousand_marks_are_looked_at_one_by_one_and_no_more() -> None:
    """Half-way from the first row to the last the limits lie between two tens."""
    rows = ("min: 95, max: 100", "min: 110, max: 115")
    (told,) = told_over(over_warm(*rows, "{min: 0, max: 1999}", (0, 1999)))
    assert told.startswith("at 667 no mark")  # a third of the way: 100 is left
    assert told_over(over_warm(*rows, "{min: 0, max: 2000}", (0, 2000))) == []


def test_a_reading_without_limits_does_not_hide_those_behind_it() -> None:
    """Below 10 degC the table says nothing, which is told elsewhere; at 40 no psi is inside."""
    table = "{over: warm, table: [{at: 10, min: 100, max: 130}, {at: 40, min: 101.2, max: 101.8}]}"
    several = f"- {table}\n- {{min: 0}}"
    assert told_over(task_text(WARM, f"press pressure psi {several}")) == [
        "where 'warm' is 40 no mark of a scale in steps of 1 is inside these limits"
    ]
