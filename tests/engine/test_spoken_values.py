"""Spoken values in the conversation: scales, fractions, corrections, "words twice", read-backs."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.effects import Listen, Write
from handsfree.engine.entries import (
    ChoiceMade,
    NotActedOn,
    NotHeeded,
    PhraseReadBack,
    ReadingRefused,
    ReadingTaken,
    Replaced,
    StepConfirmed,
    TaskBegun,
    Withdrawn,
)
from handsfree.engine.events import Spoken, Started
from handsfree.engine.state import Phase
from handsfree.task.limits import Verdict
from handsfree.task.read import read_task
from handsfree.words.phrases import PhraseSet
from tests.engine.conversation import (
    BOTTLE,
    TASK,
    TO_PRESSURE,
    TO_SERIAL,
    TO_SIDE,
    Conversation,
    heard,
)

GAUGES = """\
task: gauges
title: Read the gauges
revision: "1"
approved_data: {reference: QX 12, revision: "7"}
applicability: {aircraft: Any 1, component: gauges}
steps:
  - id: pressure
    instruction: Read the pressure.
    expect:
      reading: pressure
      unit: psi
      resolution: 10
      other_scales: [{unit: bar, resolution: 1}]
      limits: {min: 2900, max: 3100}
  - id: temperature
    instruction: Read the temperature.
    expect:
      reading: temperature
      unit: degC
      resolution: 1
      other_scales: [{unit: degF, resolution: 1}]
      limits: {min: -40, max: 40}
  - id: length
    instruction: Measure the gap.
    expect:
      reading: length
      called: gap
      unit: in
      resolution: 0.0625
      fractions: true
      limits: {min: 2.5, max: 3.5}
  - id: torque
    critical: true
    instruction: Read the torque.
    expect:
      reading: torque
      unit: N.m
      resolution: 1
      words_twice: true
      doubles: true
      limits: {min: 20, max: 30}
"""
GAUGE_TASK = read_task(GAUGES, "gauges.yaml")
TO_GAUGE_TEMPERATURE = ("three thousand p s i", "affirm")
TO_LENGTH = (*TO_GAUGE_TEMPERATURE, "two zero degrees celsius", "affirm")
TO_TORQUE = (*TO_LENGTH, "three inches", "affirm")


def at_gauge(*utterances: str) -> Conversation:
    return Conversation(GAUGE_TASK).start().say(*utterances)


def listened_for(run: Conversation) -> PhraseSet:
    return next(each.phrases for each in reversed(run.effects) if isinstance(each, Listen))


def taken(run: Conversation) -> ReadingTaken:
    (entry,) = (each for each in run.written if isinstance(each, ReadingTaken))
    return entry


# Scales.


def test_a_value_on_another_scale_of_the_gauge_is_judged_and_said_in_both_units() -> None:
    """205 bar are 2973.2736... psi (1 bar is 14.503773... psi, NIST SP 811)."""
    run = at_gauge("two zero five bar")
    assert run.answer == (
        "Two zero five bar, that is about two niner seven three p s i. Inside limits. Affirm?"
    )
    entry = taken(run)
    assert (entry.figures, entry.scale, entry.unit) == ("205", "bar", "psi")
    assert str(entry.value).startswith("2973.2736")
    assert run.say("affirm").step == "temperature"


def test_an_exact_value_is_not_said_to_be_about_itself() -> None:
    run = at_gauge(*TO_GAUGE_TEMPERATURE, "eight six degrees fahrenheit")
    assert run.answer.startswith(
        "Eight six degrees fahrenheit, that is three zero degrees celsius. Inside limits."
    )


def test_a_value_on_the_limit_of_another_scale_is_inside() -> None:
    """-40 degrees are the same on both scales; 104 degF are 40 degC (NIST SP 811, B.8)."""
    for said in ("minus four zero degrees fahrenheit", "one zero four degrees fahrenheit"):
        assert "Inside limits" in at_gauge(*TO_GAUGE_TEMPERATURE, said).answer
    run = at_gauge(*TO_GAUGE_TEMPERATURE, "one zero five degrees fahrenheit")
    assert run.answer == (
        "One zero five degrees fahrenheit, that is about four zero decimal six degrees celsius. "
        "Above maximum, four zero. Correct it, measure again, or say unable."
    )


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
    assert run.answer == "The scale reads in steps of one bar. Read pressure again."
    assert "steps of one zero p s i" in at_gauge("two niner five five p s i").answer


def test_with_two_scales_the_unit_must_be_said() -> None:
    run = at_gauge("three thousand")
    assert run.answer == "Say again: there are two scales, say the unit."


def test_both_scales_are_told_with_the_step() -> None:
    assert at_gauge().answer.endswith("Report pressure in p s i or bar.")


def test_a_unit_of_another_scale_that_the_gauge_has_not_is_asked_about() -> None:
    run = at_gauge("two zero five zero zero kilopascals")
    assert run.answer == "I heard kilopascals. Report pressure in p s i or bar."
    assert run.written == [ReadingRefused("pressure", "20500", "kPa", "another unit")]


def test_a_unit_of_another_quantity_is_asked_about() -> None:
    run = at_gauge("two zero five newton metres")
    assert run.answer == (
        "I heard newton metres, which is torque. Report pressure in p s i or bar."
    )
    assert run.written == [ReadingRefused("pressure", "205", "N.m", "another quantity")]


def test_a_unit_is_never_converted_where_the_gauge_has_one_scale() -> None:
    """A slip of the unit could bring a bad value inside the limits."""
    run = Conversation(TASK).start().say(*TO_PRESSURE, "two zero five bar")
    assert run.answer == "I heard bar. Report pressure in p s i."


@settings(max_examples=60)
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


@settings(max_examples=80)
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
    assert run.answer == "Three and five sixteenths inches. Inside limits. Affirm?"
    assert (taken(run).figures, taken(run).value) == ("3 5/16", Decimal("3.3125"))


def test_limits_and_steps_of_a_ruler_are_said_as_fractions() -> None:
    run = at_gauge(*TO_LENGTH, "three and five eighths")
    assert "Above maximum, three and one half." in run.answer
    assert "steps of one sixteenth inches" in run.say("three decimal three").answer


# Corrections inside an utterance.


def test_the_last_value_counts_and_both_are_written() -> None:
    """Issue example, with the values of this task."""
    run = Conversation().start().say(*TO_PRESSURE)
    run.say("gauge two niner correction three zero zero zero")
    assert run.answer == "Three zero zero zero p s i. Inside limits. Affirm?"
    assert [type(each) for each in run.written] == [Replaced, ReadingTaken]
    assert run.written[0] == Replaced("pressure", "29", None)
    assert taken(run).corrects


def test_a_corrected_identity_leaves_both_on_the_record() -> None:
    run = Conversation().start().say(*TO_SERIAL)
    run.say("kilo delta correction kilo delta four seven bravo")
    assert run.answer == "Part number kilo delta four seven bravo. Affirm?"
    assert run.written[0] == Replaced("serial", "KD")


def test_an_identity_may_be_called_by_another_name() -> None:
    """Issue example: "serial kilo zero four seven bravo"."""
    text = BOTTLE.replace(
        "{identity: part number, accept: [KD-47B]}", "{identity: serial number, called: serial}"
    )
    run = Conversation(read_task(text, "t.yaml")).start().say(*TO_SERIAL)
    assert run.say("serial kilo zero four seven bravo").answer == (
        "Serial number kilo zero four seven bravo. Affirm?"
    )


def test_a_correction_without_a_value_is_asked_about() -> None:
    run = Conversation().start().say(*TO_PRESSURE, "three thousand correction")
    assert run.answer == "Say again: a correction needs the value after it."


# "Words twice".


def test_words_twice_repeats_the_last_thing_said_with_its_values_twice() -> None:
    run = Conversation().start().say(*TO_PRESSURE, "three thousand", "words twice")
    assert run.answer == (
        "Three zero zero zero, three zero zero zero p s i. Inside limits. Affirm?"
    )
    assert run.say("affirm").step == "serial"


def test_words_twice_repeats_letters_and_fractions() -> None:
    run = Conversation().start().say(*TO_SERIAL, "kilo delta four seven bravo", "words twice")
    assert "kilo delta four seven bravo, kilo delta four seven bravo." in run.answer
    run = at_gauge(*TO_LENGTH, "three and five sixteenths", "words twice")
    assert run.answer.startswith("Three and five sixteenths, three and five sixteenths inches.")


def test_a_step_can_ask_for_a_value_twice() -> None:
    run = at_gauge(*TO_TORQUE)
    assert run.answer.endswith(
        "Read the torque. Report torque in newton metres, words twice, with the unit each time."
    )
    run.say("two double two newton metres")
    assert run.answer.startswith("I heard it once. Report torque in newton metres, words twice")
    assert run.written == [ReadingRefused("torque", "222", "N.m", "said once")]
    run.say("two four newton metres two four newton metres")
    assert run.answer == "Two four newton metres. Inside limits. Affirm?"
    assert run.say("affirm").finished


def test_two_values_that_differ_are_asked_for_again() -> None:
    run = at_gauge(*TO_TORQUE, "two four newton metres two five newton metres")
    assert run.answer == "Say again: the two values are not the same."
    assert run.step == "torque"


# Critical steps, and phrases that sound alike.


def test_a_critical_value_must_be_heard_more_surely() -> None:
    run = at_gauge(*TO_TORQUE)
    said = "two four newton metres two four newton metres"
    assert run.mumble(said, score=0.94).answer == "Say again."
    assert run.mumble(said, score=0.95).answer.endswith("Affirm?")


def test_every_listener_is_asked_where_a_mistake_costs_most() -> None:
    assert listened_for(at_gauge(*TO_TORQUE)).critical
    assert not listened_for(at_gauge(*TO_LENGTH)).critical
    assert listened_for(started("pin fitted")).critical
    assert not listened_for(started("pin removed")).critical


def started(*confusable: str, task: str = BOTTLE) -> Conversation:
    run = Conversation(read_task(task, "t.yaml"))
    run.send(Started(confusable=confusable))
    return run.finish_speaking()


def test_what_sounds_alike_is_on_the_record() -> None:
    entries = [each.entry for each in started("pin fitted").effects if isinstance(each, Write)]
    assert isinstance(entries[0], TaskBegun)
    assert entries[0].confusable == ("pin fitted",)


def test_a_phrase_with_one_that_sounds_alike_is_read_back_and_waits_for_affirm() -> None:
    run = started("pin fitted").mumble("pin fitted", score=0.93)
    assert run.answer == "Pin fitted. Affirm?"
    assert run.written == [PhraseReadBack("fit-pin", "pin fitted")]
    assert dict(run.state.states) == {"pin": "removed"}
    run.say("affirm")
    assert StepConfirmed("fit-pin", "pin fitted", (("pin", "fitted"),)) in run.written
    assert run.answer.startswith("Pin fitted. Step two.")


def test_it_is_acted_on_at_once_where_it_was_heard_surely() -> None:
    assert started("pin fitted").mumble("pin fitted", score=0.96).step == "temperature"


def test_it_is_asked_again_where_it_was_heard_less_surely() -> None:
    assert started("pin fitted").mumble("pin fitted", score=0.91).answer == "Say again."


def test_a_phrase_of_a_critical_step_is_read_back_too() -> None:
    task = BOTTLE.replace("  - id: fit-pin\n", "  - id: fit-pin\n    critical: true\n")
    run = started(task=task).mumble("pin fitted", score=0.93)
    assert run.answer == "Pin fitted. Affirm?"


@pytest.mark.parametrize("word", ["negative", "correction", "disregard"])
def test_a_phrase_that_was_read_back_can_be_taken_back(word: str) -> None:
    run = started("pin fitted").mumble("pin fitted", score=0.93).say(word)
    assert run.answer == "Withdrawn. Report pin fitted."
    assert run.say("affirm").step == "fit-pin"


def test_another_phrase_in_place_of_affirm_withdraws_the_one_read_back() -> None:
    """Else "affirm" after "pin removed" would confirm that the pin is fitted."""
    run = started("pin fitted").mumble("pin fitted", score=0.93).say("pin removed")
    assert run.answer == "I heard pin removed. Report pin fitted."
    assert run.written == [
        NotHeeded("fit-pin", ("pin", "removed"), NotActedOn.NOT_EXPECTED),
        Withdrawn("fit-pin"),
    ]
    assert run.state.phase is Phase.ANSWERING
    assert run.say("affirm").step == "fit-pin"


def test_a_doubtful_hearing_repeats_the_phrase_that_waits() -> None:
    run = started("pin fitted").mumble("pin fitted", 0.93).mumble("affirm", 0.5)
    assert run.answer == "Say again. Pin fitted. Affirm?"


def test_the_phrase_said_again_surely_is_acted_on() -> None:
    run = started("pin fitted").mumble("pin fitted", score=0.93).say("pin fitted")
    assert run.step == "temperature"


def test_a_choice_that_sounds_like_another_is_read_back() -> None:
    run = started("left side", "right side").say(*TO_SIDE).mumble("left side", score=0.93)
    assert run.answer == "Left side. Affirm?"
    assert run.written == [
        ChoiceMade("side", "left side", True),
        PhraseReadBack("side", "left side"),
    ]
    assert run.say("right side").answer.startswith("Right side. The task needs left side.")
    assert run.say("affirm").step == "side"


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(
                ["pin fitted", "pin removed", "affirm", "negative", "say again", "words twice"]
            ),
            st.sampled_from([0.5, 0.85, 0.93, 0.97]),
        ),
        max_size=8,
    )
)
def test_no_phrase_that_sounds_alike_confirms_unless_sure_or_affirmed(
    utterances: list[tuple[str, float]],
) -> None:
    run = started("pin fitted", "pin removed")
    for words, score in utterances:
        waiting = run.state.pending
        run.send(heard(words, score))
        if any(isinstance(each, StepConfirmed) for each in run.written):
            sure = (words, score) == ("pin fitted", 0.97)
            assert sure or (waiting == "pin fitted" and words == "affirm" and score >= 0.8)
            return
        if run.state.speaking:
            run.send(Spoken())
