"""A pressure drop that is corrected for the temperature then and now."""

from decimal import Decimal
from fractions import Fraction

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.entries import ReadingTaken
from handsfree.review.worked import Earlier, Worked, worked
from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.drop import HIGHEST_BAR
from handsfree.task.limits.forms import Bounds, NoLimits, Verdict
from handsfree.task.problems import TaskNotProved
from handsfree.task.read import read_task
from tests.engine.conversation import Conversation
from tests.task.limits_of import complaint_about, complaints_of, limits_of, task_of, task_text

DROP = "{drop_from: before, over: [cold, warm], over_unit: degC, scale: psi gauge, max: 4}"
BEFORE = "before pressure psi min: 150\nmax: 250"
COLD = "cold temperature degC min: -10\nmax: 45"
WARM = "warm temperature degC min: -10\nmax: 45"
NOW = f"now pressure psi {DROP}"


def bounds(text: str, before: str, cold: str, warm: str) -> Bounds:
    readings = {"before": Decimal(before), "cold": Decimal(cold), "warm": Decimal(warm)}
    return limits_of(text).bounds(readings)


def drop(text: str, before: str, cold: str, warm: str, now: str) -> Fraction:
    combined = bounds(text, before, cold, warm).combined
    assert combined is not None
    return combined.of(Fraction(now))


def test_a_tyre_that_warmed_and_reads_more_can_have_lost_pressure() -> None:
    """Worked by hand: (200 + 14.6959) x 308.15 / 288.15 - 14.6959 = 214.90 psi gauge."""
    assert float(drop(DROP, "200", "15", "35", "210")) == pytest.approx(4.90, abs=0.01)
    limits = bounds(DROP, "200", "15", "35")
    assert limits.verdict(Decimal(210)) is Verdict.ABOVE
    assert limits.verdict(Decimal(211)) is Verdict.INSIDE


def test_a_tyre_that_cooled_and_reads_less_can_have_lost_none() -> None:
    assert bounds(DROP, "200", "35", "15").verdict(Decimal(186)) is Verdict.INSIDE
    assert bounds(DROP, "200", "15", "15").verdict(Decimal(186)) is Verdict.ABOVE


def test_a_tyre_changes_by_about_one_percent_for_three_degrees() -> None:
    """The rule of thumb of the tyre makers' care manuals (from memory), at usual temperatures."""
    for_three = float(drop(DROP, "200", "20", "23", "200"))
    assert for_three / 200 == pytest.approx(0.01, rel=0.15)


@given(
    st.sampled_from(["Nitrogen", "Air"]),
    st.integers(2, HIGHEST_BAR - 2),
    st.integers(0, 20),
    st.integers(-20, 20),
)
def test_what_is_kept_agrees_with_coolprop(gas: str, before: int, then: int, warmer: int) -> None:
    """Reference: the equations of state in CoolProp, at constant density; within 0.5 %."""
    text = DROP.replace("psi gauge", "bar absolute")
    now = then + warmer
    density = PropsSI("D", "P", before * 1e5, "T", then + 273.15, gas)
    kept = PropsSI("P", "D", density, "T", now + 273.15, gas) / 1e5
    ours = float(drop(text, str(before), str(then), str(now), "0"))
    assert ours == pytest.approx(kept, rel=0.005)


@given(st.integers(2, 200), st.integers(-20, 45), st.integers(-20, 45))
def test_of_a_named_gas_what_is_kept_agrees_closely_at_any_pressure(
    before: int, then: int, now: int
) -> None:
    """Reference: nitrogen in CoolProp, at constant density; within 0.02 %."""
    text = DROP.replace("psi gauge", "bar absolute, gas: nitrogen")
    density = PropsSI("D", "P", before * 1e5, "T", then + 273.15, "Nitrogen")
    kept = PropsSI("P", "D", density, "T", now + 273.15, "Nitrogen") / 1e5
    assert float(drop(text, str(before), str(then), str(now), "0")) == pytest.approx(kept, rel=2e-4)


@pytest.mark.parametrize(
    ("readings", "why"),
    [
        (
            ("200", "15", "400"),
            "a temperature is outside what is known of nitrogen, -40 to 70 degrees celsius",
        ),
        (("99999", "15", "35"), "the pressure is outside what is known of nitrogen"),
    ],
)
def test_where_a_named_gas_is_not_known_there_are_no_limits(
    readings: tuple[str, str, str], why: str
) -> None:
    with pytest.raises(NoLimits) as raised:
        bounds(DROP.replace("max: 4", "max: 4, gas: nitrogen"), *readings)
    assert str(raised.value) == why


def test_gauge_and_absolute_agree_with_the_air_between_them() -> None:
    gauge = DROP.replace("psi gauge", "bar gauge, ambient: 0.8 bar")
    absolute = DROP.replace("psi gauge", "bar absolute")
    assert drop(gauge, "9.2", "10", "30", "9") == drop(absolute, "10", "10", "30", "9.8")


def test_fahrenheit_and_celsius_agree() -> None:
    other = DROP.replace("degC", "degF")
    assert drop(other, "200", "50", "86", "205") == drop(DROP, "200", "10", "30", "205")


def test_a_rise_is_below_a_minimum() -> None:
    both = DROP.replace("max: 4", "min: -2, max: 4")
    assert bounds(both, "200", "15", "15").verdict(Decimal(203)) is Verdict.BELOW
    assert bounds(both, "200", "15", "15").verdict(Decimal(202)) is Verdict.INSIDE


def test_the_bounds_of_the_reading_are_where_its_verdict_changes() -> None:
    limits = bounds(DROP.replace("max: 4", "min: -2, max: 4"), "200", "15", "35")
    assert limits.lowest is not None
    assert limits.highest is not None
    a_little = Fraction(1, 10**9)
    assert limits.verdict(limits.lowest) is limits.verdict(limits.highest) is Verdict.INSIDE
    assert limits.verdict(limits.lowest - a_little) is Verdict.ABOVE
    assert limits.verdict(limits.highest + a_little) is Verdict.BELOW


TOO_DENSE = (
    "above 25 bar absolute the pressure of a gas does not follow its temperature closely enough "
    "unless the gas is named"
)


@pytest.mark.parametrize(
    ("readings", "why"),
    [
        (("400", "15", "35"), TOO_DENSE),
        (("340", "0", "40"), TOO_DENSE),  # only once it has warmed
        (("-15", "15", "35"), "the pressure before is not above vacuum"),
        (("200", "-274", "35"), "a temperature is not above absolute zero"),
        (("200", "15", "-274"), "a temperature is not above absolute zero"),
    ],
)
def test_where_the_law_does_not_hold_there_are_no_limits(
    readings: tuple[str, str, str], why: str
) -> None:
    with pytest.raises(NoLimits) as raised:
        bounds(DROP, *readings)
    assert str(raised.value) == why


@pytest.mark.parametrize(
    ("written", "instead", "why"),
    [
        (", max: 4", "", "limits without a limit"),
        ("max: 4", "min: 5, max: 4", "the limits cross"),
        ("[cold, warm]", "[cold, cold]", "one step is named twice"),
        ("psi gauge", "psi", "'psi' does not say what the gauge shows"),
        ("over_unit: degC", "over_unit: psi", "'psi' is not a unit of temperature"),
        ("max: 4", "max: 4, gas: neon", "unknown gas 'neon'"),
        ("max: 4", "max: 4, ambient: 0 bar", "an ambient pressure of 0 bar"),
    ],
)
def test_limits_that_are_wrong_in_themselves_are_told(written: str, instead: str, why: str) -> None:
    assert why in complaint_about(DROP.replace(written, instead))


@pytest.mark.parametrize(
    ("steps", "told"),
    [
        ((BEFORE, COLD, NOW), "no earlier step 'warm' takes a reading"),
        (
            (BEFORE, COLD, WARM.replace("degC", "degF"), NOW),
            "step 'warm' reads in degF, but here it must be degC. Write one unit in both",
        ),
        (
            (BEFORE.replace("psi", "kPa"), COLD, WARM, NOW),
            "step 'before' reads in kPa, but here it must be psi. Write one unit in both",
        ),
        (
            (BEFORE, COLD, WARM, NOW.replace("pressure psi", "pressure kPa")),
            "the limits are in psi, but this reading is in kPa",
        ),
        (
            (BEFORE, COLD, WARM.replace("\nmax: 45", ""), NOW),
            "nothing holds 'warm' to values that have limits here. Give 'warm' a min and max",
        ),
        (
            (BEFORE.replace("250", "350"), COLD, WARM, NOW),
            "where 'before' is 350 and 'cold' is -10 and 'warm' is -10 there are no limits: "
            "above 25 bar absolute the pressure of a gas does not follow its temperature closely "
            "enough unless the gas is named. "
            "Give 'before' a min and max within what is possible here",
        ),
    ],
)
def test_limits_that_do_not_fit_the_other_steps_are_told(steps: tuple[str, ...], told: str) -> None:
    (problem,) = complaints_of(*steps)
    assert told in problem


def test_each_temperature_is_told_at_its_own_place() -> None:
    (first,) = complaints_of(BEFORE, WARM, NOW)
    (second,) = complaints_of(BEFORE, COLD, NOW)
    line, column = (int(each) for each in first.split(":")[1:3])
    assert second.startswith(f"t.yaml:{line}:{column + len('cold, ')}:")


def test_a_pressure_before_that_nobody_reads_is_told_at_its_own_place() -> None:
    (told,) = complaints_of(COLD, WARM, NOW)
    lines = task_text(COLD, WARM, NOW).splitlines()
    line = next(at for at, each in enumerate(lines) if "drop_from" in each)
    column = 1 + lines[line].index("drop_from")
    assert told.startswith(f"t.yaml:{line + 1}:{column}: no earlier step 'before'")


def _worked_last(*steps: str) -> Worked:
    readings = [each.expect for each in task_of(*steps).steps]
    assert all(isinstance(each, ReadingExpected) for each in readings)
    known = [each for each in readings if isinstance(each, ReadingExpected)]
    names = ("before", "cold", "warm")
    earlier = {name: Earlier(at, known[at - 1]) for at, name in enumerate(names, 1)}
    return worked(known[3].limits, known[3], earlier)


def test_the_sheet_states_the_law_and_works_it_out() -> None:
    shown = _worked_last(BEFORE, COLD, WARM, NOW)
    assert shown.rule == (
        "the pressure of step 1 less this reading, corrected from the temperature of step 2 to the "
        "temperature of step 3: at most 4 psi. A gas of constant volume, absolute pressure in "
        "proportion to absolute temperature; the pressures are gauge, in air of 1.01325 bar"
    )
    assert shown.rows[0].allowed == "at least 146 psi"


def test_the_sheet_names_the_real_gas() -> None:
    named = NOW.replace("max: 4", "max: 4, gas: nitrogen")
    shown = _worked_last(BEFORE, COLD, WARM, named).rule
    assert "at most 4 psi. Real nitrogen of constant density; the pressures are gauge" in shown


def test_the_run_judges_the_corrected_drop_and_says_it() -> None:
    run = Conversation(task_of(BEFORE, COLD, WARM, NOW)).start()
    run.say("two zero zero", "affirm", "one five", "affirm", "three five", "affirm")
    run.say("two one zero")
    (taken,) = (each for each in run.written if isinstance(each, ReadingTaken))
    assert taken.verdict is Verdict.ABOVE
    assert (taken.judged or "").startswith("corrected drop 4.90")
    assert "Corrected drop four decimal nine" in run.answer
    assert run.say("affirm").step == "now"
    assert run.say("two one two", "affirm").finished


def test_a_temperature_that_one_variant_does_not_read_is_told_where_it_is_named() -> None:
    text = task_text(BEFORE, COLD, WARM, NOW).replace(
        "steps:", "variants: {fit: [old, new]}\nsteps:"
    )
    text = text.replace("  - id: warm\n", "  - id: warm\n    applies: {fit: new}\n")
    with pytest.raises(TaskNotProved) as caught:
        read_task(text, "t.yaml")
    line = 1 + next(at for at, each in enumerate(text.splitlines()) if "drop_from" in each)
    column = 1 + text.splitlines()[line - 1].index("warm]")
    assert str(caught.value).startswith(f"t.yaml:{line}:{column}: step 'now' rests on step 'warm'")


def test_a_repeated_drop_names_the_readings_of_its_own_thing() -> None:
    each = "    each: {wheel: [left, right]}\n    instruction"
    text = task_text(BEFORE, COLD, WARM, NOW).replace("    instruction", each)
    for old, new in (
        ("drop_from: before", "drop_from: before-<wheel>"),
        ("[cold, warm]", "[cold-<wheel>, warm-<wheel>]"),
    ):
        text = text.replace(old, new)
    last = read_task(text, "t.yaml").steps[-1].expect
    assert isinstance(last, ReadingExpected)
    assert last.limits.earlier == ("before-right", "cold-right", "warm-right")
