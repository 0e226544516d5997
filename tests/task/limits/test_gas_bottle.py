"""The window of a gas bottle at its temperature, and what a task file may say of it."""

from decimal import Decimal
from fractions import Fraction

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.forms import Bounds, GasLimits, NoLimits, Verdict, worked
from tests.task.limits_of import complaint_about, complaints_of, limits_of, task_of

BOTTLE = """\
gas: nitrogen
over: bottle
over_unit: degC
fill: {at: 70 degF, min: 2900 psi, max: 3100 psi}
scale: psi gauge
"""
LIMITS = limits_of(BOTTLE)
TEMPERATURES = st.decimals(-40, 70, places=1)

WARM = "bottle temperature degC {min: 0, max: 40}"
FLAT = BOTTLE.strip()


def at(celsius: Decimal | int | str) -> dict[str, Decimal]:
    return {"bottle": Decimal(celsius)}


def reference_psi(fill_psi: float, celsius: float) -> float:
    """Gauge, by the high-level calls of CoolProp and with its own numbers for the units."""
    psi, air = 6894.757293168, 101_325.0
    density = PropsSI("Dmolar", "T", (70 + 459.67) / 1.8, "P", fill_psi * psi + air, "Nitrogen")
    return float((PropsSI("P", "T", celsius + 273.15, "Dmolar", density, "Nitrogen") - air) / psi)


@pytest.mark.parametrize("celsius", [-40, -15, 0, 21, 45, 70])
def test_the_window_is_that_of_the_reference_library(celsius: int) -> None:
    """CoolProp, within 0.01 percent."""
    bounds = worked(LIMITS, at(celsius))
    assert bounds.lowest is not None
    assert bounds.highest is not None
    assert float(bounds.lowest) == pytest.approx(reference_psi(2900, celsius), rel=1e-4)
    assert float(bounds.highest) == pytest.approx(reference_psi(3100, celsius), rel=1e-4)


def test_at_the_temperature_of_the_fill_the_limits_are_those_of_the_fill_exactly() -> None:
    """-40 is the one temperature that is the same number in both units."""
    limits = limits_of(BOTTLE.replace("70 degF", "-40 degF"))
    bounds = worked(limits, at(-40))
    assert bounds == Bounds(Fraction(2900), Fraction(3100))
    assert bounds.verdict(Decimal(2900)) is Verdict.INSIDE
    assert bounds.verdict(Decimal(3100)) is Verdict.INSIDE
    assert bounds.verdict(Decimal("2899.999999999")) is Verdict.BELOW
    assert bounds.verdict(Decimal("3100.000000001")) is Verdict.ABOVE


@given(TEMPERATURES, TEMPERATURES)
def test_a_warmer_bottle_has_higher_limits(one: Decimal, other: Decimal) -> None:
    cold, warm = worked(LIMITS, at(min(one, other))), worked(LIMITS, at(max(one, other)))
    assert cold.lowest is not None
    assert warm.lowest is not None
    assert cold.highest is not None
    assert warm.highest is not None
    assert (one == other) is (cold.lowest == warm.lowest)
    assert cold.lowest <= warm.lowest
    assert cold.highest <= warm.highest


@given(TEMPERATURES, st.integers(2901, 3099))
def test_a_bottle_with_the_right_charge_is_inside_at_any_temperature(
    celsius: Decimal, charge: int
) -> None:
    one = limits_of(BOTTLE.replace("min: 2900 psi, max: 3100 psi", f"min: {charge} psi"))
    reads = worked(one, at(celsius)).lowest
    window = worked(LIMITS, at(celsius))
    assert reads is not None
    assert window.lowest is not None
    assert window.highest is not None
    assert window.lowest < reads < window.highest


@given(TEMPERATURES, st.sampled_from(["lowest", "highest"]))
def test_nothing_is_rounded_before_a_value_is_compared(celsius: Decimal, which: str) -> None:
    bounds = worked(LIMITS, at(celsius))
    bound = getattr(bounds, which)
    just_inside, just_outside = (
        Decimal(-((-bound * 10**12).__floor__())) / 10**12,
        Decimal((bound * 10**12).__floor__() - 1) / 10**12,
    )
    if which == "highest":
        just_inside, just_outside = just_outside, just_inside + Decimal("1e-12")
    assert bounds.verdict(just_inside) is Verdict.INSIDE
    assert bounds.verdict(just_outside) is not Verdict.INSIDE


def test_gauge_and_absolute_pressures_are_kept_apart() -> None:
    """At 2 bar, 1 bar of air is a lot: the same numbers mean another charge."""
    text = BOTTLE.replace("min: 2900 psi, max: 3100 psi", "min: 29 psi")
    gauge = worked(limits_of(text), at(-40)).lowest
    absolute = worked(limits_of(text.replace("gauge", "absolute")), at(-40)).lowest
    thin_air = worked(limits_of(text + "ambient: 0.7 bar\n"), at(-40)).lowest
    assert gauge is not None
    assert absolute is not None
    assert thin_air is not None
    assert gauge < thin_air < absolute
    # The air in the fill cools as well, by the ratio of absolute temperatures: thin gas is ideal.
    air = Fraction(101_325 * 1_290_320_000, 8_896_443_230_521)
    lost_by_the_air = float(air) * (1 - 233.15 / 294.26)
    assert float(absolute - gauge) == pytest.approx(lost_by_the_air, rel=0.02)


def test_units_of_gauge_and_label_may_differ() -> None:
    bar = limits_of(BOTTLE.replace("psi gauge", "bar gauge"))
    in_bar, in_psi = worked(bar, at(0)).lowest, worked(LIMITS, at(0)).lowest
    assert in_bar is not None
    assert in_psi is not None
    assert in_psi / in_bar == Fraction(100_000 * 1_290_320_000, 8_896_443_230_521)


@pytest.mark.parametrize("celsius", ["-40.1", "71", "-300"])
def test_there_are_no_limits_where_the_gas_is_not_known(celsius: str) -> None:
    with pytest.raises(NoLimits) as raised:
        worked(LIMITS, at(celsius))
    assert str(raised.value) == (
        f"{celsius} degrees celsius is outside what is known of nitrogen, -40 to 70 degrees celsius"
    )


def test_at_the_ends_of_what_is_known_of_the_gas_there_are_limits() -> None:
    assert worked(LIMITS, at("-40")).lowest is not None
    assert worked(LIMITS, at("70")).lowest is not None


def test_there_are_no_limits_without_the_temperature() -> None:
    with pytest.raises(NoLimits, match=r"^the reading of bottle is missing$"):
        worked(LIMITS, {})


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "nitrogen",
            "argon",
            "unknown gas 'argon'. Known, in percent by mole: nitrogen, carbon dioxide 30",
        ),
        ("70 degF", "70", "'70' is not a temperature with its unit. Write a plain number"),
        ("70 degF", "nan degF", "'nan degF' is not a temperature with its unit."),
        (
            "70 degF",
            "-500 degF",
            "a fill at -500 degF is outside what is known of nitrogen. Give it at -40 to 70 degC",
        ),
        (
            "3100 psi",
            "9000 psi",
            "a fill of 9000 psi is outside what is known of nitrogen. "
            "Write a pressure above vacuum and up to 5066 psi",
        ),
        ("2900 psi", "-20 psi", "a fill of -20 psi is outside what is known of nitrogen."),
        ("2900 psi", "300 bar", "the limits cross: min 300 bar is above max 3100 psi."),
        ("min: 2900 psi, max: 3100 psi", "", "a fill without a pressure. Write min, max or both"),
        ("degC", "psi", "'psi' is not a unit of temperature. Write degC or degF"),
        (
            "psi gauge",
            "psi",
            "'psi' does not say what the gauge shows. Write psi, bar, kPa with gauge (above the "
            "air) or absolute, such as 'psi gauge'",
        ),
        ("psi gauge", "mm gauge", "'mm gauge' does not say what the gauge shows."),
        (
            "psi gauge",
            "psi gauge\nambient: -1 bar",
            "an ambient pressure of -1 bar. Write the absolute pressure of the air",
        ),
    ],
)
def test_a_bottle_that_cannot_be_is_refused(old: str, new: str, message: str) -> None:
    assert old in BOTTLE
    assert message in complaint_about(BOTTLE.replace(old, new, 1))


def test_a_task_with_a_bottle_is_read() -> None:
    expected = task_of(WARM, f"pressure pressure psi {FLAT}").steps[1].expect
    assert isinstance(expected, ReadingExpected)
    assert isinstance(expected.limits, GasLimits)


@pytest.mark.parametrize(
    ("steps", "line"),
    [
        (
            (f"pressure pressure psi {FLAT}",),
            "t.yaml:15:9: no earlier step 'bottle' takes a reading. Earlier readings: none yet",
        ),
        (
            (f"pressure pressure psi {FLAT.replace('nitrogen', 'argon')}",),
            "t.yaml:14:9: unknown gas 'argon'. "
            "Known, in percent by mole: nitrogen, carbon dioxide 30 nitrogen 70",
        ),
        (
            (f"pressure pressure psi {FLAT.replace('3100 psi', '3100 degC')}",),
            "t.yaml:17:44: degC measures temperature, and this must be a pressure. "
            "Write one of psi, bar, kPa",
        ),
        (
            (WARM.replace("degC", "degF"), f"pressure pressure psi {FLAT}"),
            "t.yaml:23:9: step 'bottle' reads in degF, but here it must be degC. "
            "Write one unit in both",
        ),
        (
            (WARM, f"pressure pressure bar {FLAT}"),
            "t.yaml:26:9: the limits are in psi, but this reading is in bar. "
            "Write both in the unit of the gauge or wrench",
        ),
        (
            (WARM.replace("min: 0", "min: -45"), f"pressure pressure psi {FLAT}"),
            "t.yaml:23:9: where 'bottle' is -45 there are no limits: -45 degrees celsius is "
            "outside what is known of nitrogen, -40 to 70 degrees celsius. "
            "Give 'bottle' a min and max within what is possible here",
        ),
        (
            (WARM.replace("min: 0, ", ""), f"pressure pressure psi {FLAT}"),
            "t.yaml:23:9: nothing holds 'bottle' to values that have limits here. "
            "Give 'bottle' a min and max",
        ),
        (
            ("bottle temperature degC {min: -300, max: 40}",),
            "t.yaml:13:7: -300 degC is below absolute zero. Write a temperature that can be",
        ),
    ],
)
def test_a_bottle_that_a_run_could_not_judge_is_refused(steps: tuple[str, ...], line: str) -> None:
    assert line in complaints_of(*steps)
