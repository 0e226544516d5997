"""Limits that hold together, and outcomes that speak of what is judged."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.forms import Bounds, NoLimits, SeveralLimits, Verdict, worked
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from tests.task.faults import step, task
from tests.task.limits_of import limits_of

VALUES = st.decimals(-1000, 1000, places=1)
PRESSURE = "{{reading: pressure, unit: psi, resolution: 1, limits: {}}}"
DROP = "{of: {difference: [before, this]}, max: 100}"
FLAT = "of: {difference: [before, this]}\nmax: 100"


def verdict(limits: str, this: Decimal | int, **others: Decimal | int) -> Verdict:
    readings = {name: Decimal(value) for name, value in others.items()}
    return worked(limits_of(limits), readings).verdict(Decimal(this))


def test_a_drop_that_is_too_large_is_above_its_maximum() -> None:
    """120 psi were lost where 100 are allowed."""
    assert verdict(FLAT, 2880, before=3000) is Verdict.ABOVE
    assert verdict(FLAT, 2900, before=3000) is Verdict.INSIDE


@given(VALUES, VALUES, st.sampled_from(["this, a", "a, this"]))
def test_the_verdict_of_a_difference_is_that_of_the_difference(
    this: Decimal, a: Decimal, terms: str
) -> None:
    difference = this - a if terms == "this, a" else a - this
    expected = Verdict.BELOW if difference < -5 else Verdict.ABOVE if difference > 9 else None
    given_ = f"of: {{difference: [{terms}]}}\nmin: -5\nmax: 9"
    assert verdict(given_, this, a=a) is (expected or Verdict.INSIDE)


@given(VALUES, VALUES)
def test_a_spread_is_only_ever_above(this: Decimal, a: Decimal) -> None:
    found = verdict("of: {spread: [this, a]}\nmax: 3", this, a=a)
    assert found is (Verdict.ABOVE if abs(this - a) > 3 else Verdict.INSIDE)


def several(drop: str = DROP) -> str:
    return task(
        step("before", "", PRESSURE.format("{min: 2900, max: 3100}")),
        step(
            "after", "then: {above: before}", PRESSURE.format(f"[{{min: 2800, max: 3100}}, {drop}]")
        ),
    )


def limits_after(text: str) -> SeveralLimits:
    expected = read_task(text, "t.yaml").steps[1].expect
    assert isinstance(expected, ReadingExpected)
    assert isinstance(expected.limits, SeveralLimits)
    return expected.limits


@given(VALUES.map(lambda value: value + 2900), VALUES.map(lambda value: value + 2900))
def test_several_limits_hold_together_and_the_first_that_is_not_kept_decides(
    before: Decimal, after: Decimal
) -> None:
    limits = limits_after(several())
    fixed = Verdict.BELOW if after < 2800 else Verdict.ABOVE if after > 3100 else Verdict.INSIDE
    drop = Verdict.ABOVE if before - after > 100 else Verdict.INSIDE
    try:
        bounds = limits.bounds({"before": before})
    except NoLimits:
        assert before - 100 > 3100
        return
    assert bounds.verdict(after) is (fixed if fixed is not Verdict.INSIDE else drop)
    assert bounds == Bounds(Fraction(max(Decimal(2800), before - 100)), Fraction(3100))


def complaint(text: str) -> str:
    with pytest.raises(TaskFileError) as caught:
        read_task(text, "t.yaml")
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            several(DROP.replace("before", "never")),
            "t.yaml:14:93: no earlier step 'never' takes a reading. Earlier readings: before",
        ),
        (
            several("{of: {difference: [before, this]}}"),
            "t.yaml:14:92: limits without a limit. Write min, max or both",
        ),
        (
            task(step("look", "", PRESSURE.format("[{min: 1}]"))),
            "t.yaml:11:59: 'limits' has 1, and needs 2. Add what is missing",
        ),
        (
            task(
                step(
                    "pins-out",
                    "",
                    COUNT := "{reading: count, unit: each, resolution: 1, limits: "
                    "{min: 4, max: 4}}",
                ),
                step(
                    "pins-in",
                    "then: {below: pins-out, above: end}",
                    COUNT.replace(
                        "{min: 4, max: 4}", "{of: {difference: [pins-out, this]}, max: 4}"
                    ),
                ),
            ),
            "t.yaml:15:12: step 'pins-in' has no outcome 'below'. It can have: inside, above, "
            "done\n"
            "t.yaml:15:29: no value of step 'pins-in' can be 'above', so what is written for it is "
            "never done. Mend the limits, or leave it out",
        ),
        (
            task(
                step("look"),
                step("count", "then: {below: look}", COUNT.replace("min: 4", "min: 0")),
            ),
            "t.yaml:15:12: no value of step 'count' can be 'below', so what is written for it is "
            "never done. Mend the limits, or leave it out",
        ),
        (
            task(
                step("look"),
                step("even", "", PRESSURE.format("{min: 1, max: 2}")),
                step(
                    "odd",
                    "then: {below: look}",
                    PRESSURE.format("{of: {spread: [even, this]}, max: 4}"),
                ),
            ),
            "t.yaml:18:12: step 'odd' has no outcome 'below'. It can have: inside, above, done",
        ),
    ],
)
def test_what_cannot_be_is_told_at_its_place(text: str, told: str) -> None:
    assert complaint(text) == told


def test_what_can_be_is_not_told() -> None:
    assert read_task(several(), "t.yaml")


def test_limits_that_leave_nothing_say_so() -> None:
    with pytest.raises(NoLimits, match=r"^the limits leave no value between them$"):
        limits_after(several()).bounds({"before": Decimal(3300)})
