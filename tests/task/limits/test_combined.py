"""A difference, a sum or a spread of readings."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.task.limits.forms import Bounds, NoLimits, Verdict, worked
from tests.task.limits_of import complaint_about, complaints_of, limits_of, task_of

VALUES = st.decimals(-1000, 1000, places=2)


def inside(text: str, this: Decimal | int | str, **others: Decimal | int) -> bool:
    readings = {name: Decimal(value) for name, value in others.items()}
    bounds = worked(limits_of(text), readings)
    return bounds.verdict(Decimal(this)) is Verdict.INSIDE


@given(VALUES, VALUES, st.booleans())
def test_a_difference_is_the_first_less_the_second(this: Decimal, a: Decimal, first: bool) -> None:
    terms = "this, a" if first else "a, this"
    difference = this - a if first else a - this
    text = f"of: {{difference: [{terms}]}}\nmin: -0.5\nmax: 400"
    assert inside(text, this, a=a) is (Decimal("-0.5") <= difference <= 400)


@given(VALUES, VALUES, VALUES)
def test_a_sum_is_of_all_its_readings(this: Decimal, a: Decimal, b: Decimal) -> None:
    text = "of: {sum: [a, this, b]}\nmin: -10\nmax: 500"
    assert inside(text, this, a=a, b=b) is (-10 <= this + a + b <= 500)


@given(VALUES, st.lists(VALUES, min_size=2, max_size=2), st.integers(0, 2000))
def test_a_spread_is_the_highest_less_the_lowest(
    this: Decimal, others: list[Decimal], most: int
) -> None:
    text = f"of: {{spread: [a, b, this]}}\nmax: {most}"
    even = max(this, *others) - min(this, *others) <= most
    if max(others) - min(others) > most:
        with pytest.raises(NoLimits, match=r"^the earlier readings are already too far apart$"):
            inside(text, this, a=others[0], b=others[1])
        assert not even
    else:
        assert inside(text, this, a=others[0], b=others[1]) is even


def test_the_play_between_two_faces_includes_its_ends() -> None:
    play = "of: {difference: [this, face]}\nmin: 0.10\nmax: 0.40"
    face = Decimal("12.35")
    assert inside(play, "12.45", face=face)
    assert inside(play, "12.75", face=face)
    assert not inside(play, "12.4499999", face=face)
    assert not inside(play, "12.7500001", face=face)


def test_as_many_pins_come_out_as_went_in() -> None:
    pins = "of: {difference: [pins_in, this]}\nmin: 0\nmax: 0".replace("_", "-")
    bounds = worked(limits_of(pins), {"pins-in": Decimal(4)})
    assert bounds == Bounds(Fraction(4), Fraction(4))


def test_one_limit_alone_leaves_the_other_side_open() -> None:
    bounds = worked(limits_of("of: {difference: [a, this]}\nmin: 2"), {"a": Decimal(10)})
    assert bounds == Bounds(None, Fraction(8))


def test_there_are_no_limits_without_every_reading() -> None:
    with pytest.raises(NoLimits, match=r"^the reading of pins in is missing$"):
        worked(limits_of("of: {sum: [this, pins-in]}\nmax: 4"), {})


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("of: {sum: [this, a]}", "limits without a limit. Write min, max or both"),
        ("of: {sum: [this, a]}\nmin: 2\nmax: 1", "the limits cross: min 2 is above max 1."),
        ("of: {sum: [b, a]}\nmax: 1", "'this' is named 0 times. Write 'this' once"),
        ("of: {sum: [this, this]}\nmax: 1", "'this' is named 2 times. Write 'this' once"),
        ("of: {sum: [this, a, a]}\nmax: 1", "a reading is named twice. Name each reading once"),
        ("of: {difference: [this, a, b]}\nmax: 1", "a difference of 3 readings. Write two"),
        ("of: {}\nmax: 1", "0 ways to combine the readings. Write one of difference, sum and"),
        ("of: {sum: [this, a], spread: [this, a]}\nmax: 1", "2 ways to combine the readings."),
        ("of: {spread: [this, a]}\nmin: 1\nmax: 2", "a spread has only a highest value"),
        ("of: {spread: [this, a]}\nmax: -1", "a spread has only a highest value, 0 or more."),
        ("of: {summ: [this, a]}\nmax: 1", "unknown key 'summ'. Did you mean 'sum'?"),
        ("of: {sum: [this, a]}\nmax: Infinity", "finite number"),
        ("of: {sum: [this, a]}\nmax: 1e999999999", "no more than 18 digits"),
    ],
)
def test_a_combination_that_cannot_be_is_refused(text: str, message: str) -> None:
    assert message in complaint_about(text)


PINS = "pins-in count each {min: 0, max: 9}"
SAME = "pins-out count each of: {difference: [this, pins-in]}\nmin: 0\nmax: 0"


def test_a_task_may_count_pins_in_and_out() -> None:
    assert len(task_of(PINS, SAME).steps) == 2


@pytest.mark.parametrize(
    ("steps", "line"),
    [
        (
            (SAME,),
            "t.yaml:14:9: no earlier step 'pins-in' takes a reading. Earlier readings: none yet",
        ),
        (
            (PINS, SAME.replace("count each", "length mm")),
            "t.yaml:22:9: step 'pins-in' reads in each, but here it must be mm. "
            "Write one unit in both",
        ),
        (
            (PINS.replace("pins-in", "this"), SAME.replace("pins-in", "other")),
            "t.yaml:7:5: 'this' is no name for a step. Name what is read",
        ),
    ],
)
def test_readings_that_do_not_go_together_are_refused(steps: tuple[str, ...], line: str) -> None:
    assert line in complaints_of(*steps)
