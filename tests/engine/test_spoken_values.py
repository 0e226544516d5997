"""Spoken values in the conversation: scales, fractions, corrections, "words twice"."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.effects import Speech, Write
from handsfree.engine.entries import (
    DateRead,
    IdentityRead,
    NotHeeded,
    ReadingRefused,
    ReadingTaken,
    Replaced,
    StepBegun,
    StepConfirmed,
    TaskBegun,
)
from handsfree.engine.events import Started
from handsfree.engine.phase import Phase
from handsfree.task.limits.forms import Verdict
from handsfree.task.read import read_task
from tests.engine.conversation import BOTTLE, TASK, TO_PRESSURE, TO_SERIAL, Conversation
from tests.engine.gauges import (
    GAUGES,
    TO_GAUGE_TEMPERATURE,
    TO_LENGTH,
    TO_TORQUE,
    at_gauge,
    listened_for,
)
from tests.how_many import examples
from tests.task.faults import step, task


def taken(run: Conversation) -> ReadingTaken:
    (entry,) = (each for each in run.written if isinstance(each, ReadingTaken))
    return entry


# Scales.


def test_a_value_on_another_scale_of_the_gauge_is_judged_and_said_in_both_units() -> None:
    """205 bar are 2973.2736... psi (1 bar is 14.503773... psi, NIST SP 811)."""
    run = at_gauge("two zero five bar")
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    entry = taken(run)
    assert (entry.figures, entry.scale, entry.unit) == ("205", "bar", "psi")
    assert str(entry.value).startswith("2973.2736")
    assert run.say("affirm").step == "temperature"


def test_an_exact_value_is_not_said_to_be_about_itself() -> None:
    run = at_gauge(*TO_GAUGE_TEMPERATURE, "eight six degrees fahrenheit")
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]


def test_a_value_on_the_limit_of_another_scale_is_inside() -> None:
    """-40 degrees are the same on both scales; 104 degF are 40 degC (NIST SP 811, B.8)."""
    for said in ("minus four zero degrees fahrenheit", "one zero four degrees fahrenheit"):
        assert at_gauge(*TO_GAUGE_TEMPERATURE, said).verdict is Verdict.INSIDE
    run = at_gauge(*TO_GAUGE_TEMPERATURE, "one zero five degrees fahrenheit")
    assert run.verdict is Verdict.ABOVE


@pytest.mark.parametrize(
    ("limits", "said"),
    [
        ("min: 2900, max: 3100", "two eight eight six p s i. Below minimum"),
        # "Two eight eight six" would be below this minimum, and the value is not.
        ("min: 2886.2, max: 3100", "two eight eight six decimal three p s i. Inside limits"),
        # "Two eight eight six decimal three" is the maximum, and the value is below it.
        ("min: 2886.25, max: 2886.3", "two eight eight six decimal three p s i. Inside limits"),
        # "Two eight eight six" would be inside this maximum, and the value is not.
        ("min: 2000, max: 2886.2509", "two eight eight six decimal three p s i. Above maximum"),
    ],
)
def test_what_is_said_of_a_converted_value_never_contradicts_its_verdict(
    limits: str, said: str
) -> None:
    """199 bar are 2886.2509808... psi."""
    text = GAUGES.replace("min: 2900, max: 3100", limits)
    run = Conversation(read_task(text, "g.yaml")).start().say("one niner niner bar")
    assert run.answer.startswith(f"One niner niner bar, that is about {said}")


def test_each_scale_has_its_own_steps() -> None:
    run = at_gauge("two zero five decimal five bar")
    assert run.did == [ReadingRefused, Speech.QUESTION]
    assert at_gauge("two niner five five p s i").did == [ReadingRefused, Speech.QUESTION]


def test_with_two_scales_the_unit_must_be_said() -> None:
    run = at_gauge("three thousand")
    assert run.did == [NotHeeded, Speech.QUESTION]


def test_both_scales_are_told_with_the_step() -> None:
    assert at_gauge().did == [
        TaskBegun,
        StepBegun,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.INSTRUCTION,
    ]


def test_a_unit_of_another_scale_that_the_gauge_has_not_is_asked_about() -> None:
    run = at_gauge("two zero five zero zero kilopascals")
    assert run.did == [ReadingRefused, Speech.QUESTION]
    assert run.written == [ReadingRefused("pressure", "20500", "kPa", "another unit")]


def test_a_unit_of_another_quantity_is_asked_about() -> None:
    run = at_gauge("two zero five newton metres")
    assert run.did == [ReadingRefused, Speech.QUESTION]
    assert run.written == [ReadingRefused("pressure", "205", "N.m", "another quantity")]


def test_a_unit_is_never_converted_where_the_gauge_has_one_scale() -> None:
    """A slip of the unit could bring a bad value inside the limits."""
    run = Conversation(TASK).start().say(*TO_PRESSURE, "two zero five bar")
    assert run.did == [ReadingRefused, Speech.QUESTION]


@settings(max_examples=examples(60))
@given(st.integers(-200, 300))
def test_a_converted_value_is_judged_exactly(fahrenheit: int) -> None:
    """NIST SP 811, B.8: t/degC = (t/degF - 32) / 1.8."""
    sign = "minus " if fahrenheit < 0 else ""
    digits = " ".join(
        ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"][int(each)]
        for each in str(abs(fahrenheit))
    )
    run = at_gauge(*TO_GAUGE_TEMPERATURE, f"{sign}{digits} fahrenheit")
    exact = (fahrenheit - 32) / Fraction("1.8")
    verdict = Verdict.BELOW if exact < -40 else Verdict.ABOVE if exact > 40 else Verdict.INSIDE
    assert taken(run).verdict is verdict
    assert abs(Fraction(taken(run).value) - exact) < Fraction(1, 10**20)


# Bad input.


@settings(max_examples=examples(80))
@given(st.sampled_from([(), TO_GAUGE_TEMPERATURE, TO_LENGTH, TO_TORQUE]), st.data())
def test_no_words_raise_and_none_moves_a_reading_without_affirm(
    before: tuple[str, ...], data: st.DataObject
) -> None:
    run = at_gauge(*before)
    step = run.state.step
    known = sorted(listened_for(run).vocabulary)
    words = data.draw(st.lists(st.one_of(st.sampled_from(known), st.text(max_size=4)), max_size=9))
    run.say(" ".join(words))
    assert run.listens
    assert run.state.step == step


@pytest.mark.parametrize("unit", ["p s i", "bar"])
def test_a_number_of_any_length_is_judged_and_read_back(unit: str) -> None:
    said = " ".join(["seven"] * 5000 + ["zero"])
    run = at_gauge(f"{said} {unit}")
    assert run.answer.startswith(f"S{said[1:]} {unit}")
    assert "Above maximum, three one zero zero." in run.answer


# Fractions.


def test_a_fraction_is_read_back_as_a_fraction() -> None:
    run = at_gauge(*TO_LENGTH, "gap three and five sixteenths inches")
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    assert (taken(run).figures, taken(run).value) == ("3 5/16", Decimal("3.3125"))


def test_limits_and_steps_of_a_ruler_are_said_as_fractions() -> None:
    run = at_gauge(*TO_LENGTH, "three and five eighths")
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    assert run.say("three decimal three").did == [ReadingRefused, Speech.QUESTION]


# Corrections inside an utterance.


def test_the_last_value_counts_and_both_are_written() -> None:
    run = Conversation().start().say(*TO_PRESSURE)
    run.say("gauge two niner correction three zero zero zero")
    assert run.did == [Replaced, ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    assert [type(each) for each in run.written] == [Replaced, ReadingTaken]
    assert run.written[0] == Replaced("pressure", "29", None)
    assert taken(run).corrects


def test_a_corrected_identity_leaves_both_on_the_record() -> None:
    run = Conversation().start().say(*TO_SERIAL)
    run.say("kilo delta correction kilo delta four seven bravo")
    assert run.did == [Replaced, IdentityRead, Speech.READ_BACK, Speech.QUESTION]
    assert run.written[0] == Replaced("serial", "KD")


def test_an_identity_may_be_called_by_another_name() -> None:
    text = BOTTLE.replace(
        "{identity: part number, accept: [KD-47B]}", "{identity: serial number, called: serial}"
    )
    run = Conversation(read_task(text, "t.yaml")).start().say(*TO_SERIAL)
    assert run.say("serial kilo zero four seven bravo").answer == (
        "Serial number kilo zero four seven bravo. Affirm?"
    )


def test_a_correction_without_a_value_is_asked_about() -> None:
    run = Conversation().start().say(*TO_PRESSURE, "three thousand correction")
    assert run.did == [NotHeeded, Speech.QUESTION]


# "Words twice".


def test_words_twice_repeats_the_last_thing_said_with_its_values_twice() -> None:
    run = Conversation().start().say(*TO_PRESSURE, "three thousand", "words twice")
    assert run.did == [Speech.READ_BACK, Speech.QUESTION]
    assert run.say("affirm").step == "serial"


def test_words_twice_repeats_letters_and_fractions() -> None:
    run = Conversation().start().say(*TO_SERIAL, "kilo delta four seven bravo", "words twice")
    assert run.did == [Speech.READ_BACK, Speech.QUESTION]
    run = at_gauge(*TO_LENGTH, "three and five sixteenths", "words twice")
    assert run.did == [Speech.READ_BACK, Speech.QUESTION]


def test_a_step_can_ask_for_a_value_twice() -> None:
    run = at_gauge(*TO_TORQUE)
    assert run.did == [StepConfirmed, StepBegun, Speech.INSTRUCTION]
    run.say("two double two newton metres")
    assert run.did == [ReadingRefused, Speech.QUESTION]
    assert run.written == [ReadingRefused("torque", "222", "N.m", "said once")]
    run.say("two four newton metres two four newton metres")
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    assert run.say("affirm").finished


def test_two_values_that_differ_are_asked_for_again() -> None:
    run = at_gauge(*TO_TORQUE, "two four newton metres two five newton metres")
    assert run.did == [NotHeeded, Speech.QUESTION]
    assert run.step == "torque"


DRILL = read_task(
    task(
        step(
            "drill",
            "",
            "{reading: length, unit: in, resolution: 0.015625, fractions: true, limits: "
            "{min: 0.015625, max: 1}}",
        )
    ),
    "drill.yaml",
)


def test_a_fraction_that_could_be_two_numbers_is_read_back_in_decimals_too() -> None:
    run = Conversation(DRILL).start().say("twenty three thirty seconds")
    assert run.answer == (
        "Twenty three thirty seconds, that is zero decimal seven one eight seven five inches. "
        "Inside limits. Affirm?"
    )
    assert Conversation(DRILL).start().say("three sixty fourths").answer == (
        "Three sixty fourths inches. Inside limits. Affirm?"
    )


FACES = (
    "{{reading: length, unit: mm, resolution: 0.5, limits: {}}}",
    "{of: {difference: [face-a, this]}, max: 2}",
)


def test_what_is_judged_in_place_of_a_reading_is_written_with_it() -> None:
    text = task(
        step("face-a", "", FACES[0].format("{min: 1, max: 99}")),
        step("face-b", "", FACES[0].format(FACES[1])),
    )
    run = Conversation(read_task(text, "t.yaml")).start().say("one zero")
    assert taken(run).judged is None
    run.say("affirm", "seven decimal five")
    entry = taken(run)
    assert (entry.judged, entry.verdict) == ("difference 2.5", Verdict.ABOVE)
    assert (entry.lowest, entry.highest) == ("8", None)


def test_a_value_that_cannot_be_taken_leaves_a_step_outside_where_it_was() -> None:
    run = Conversation().start().say(*TO_PRESSURE, "two thousand")
    assert run.state.phase is Phase.OUTSIDE
    assert run.say("two hundred bar").state.phase is Phase.OUTSIDE
    run = Conversation().start().say(*TO_PRESSURE, "two hundred bar")
    assert run.state.phase is Phase.ANSWERING


def test_a_date_and_a_value_are_written_with_whether_they_correct_one() -> None:
    text = task(step("due", "", "{date: life limit}"))
    run = Conversation(read_task(text, "t.yaml"))
    run.send(Started(today=date(2027, 3, 15)))
    run.finish_speaking().say("one six march two zero two seven")
    run.say("correction one seven march two zero two seven")
    dates = [each.entry for each in run.effects if isinstance(each, Write)]
    read = [each.corrects for each in dates if isinstance(each, DateRead)]
    assert read == [False, True]
