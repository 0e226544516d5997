"""What a tired technician says: helped, answered, taken back; never acted on where it counts."""

from datetime import date

import pytest

from handsfree.engine.delivery import Delivery
from handsfree.engine.effects import Say, Speech
from handsfree.engine.entries import (
    NotActedOn,
    NotHeeded,
    ReadingRefused,
    Remarked,
    StoodBy,
    Withdrawn,
)
from handsfree.engine.events import Started
from handsfree.engine.phase import Phase
from handsfree.engine.trust import PHRASE_AT, STOP_AT, WAIT_AT
from handsfree.task.read import read_task
from handsfree.words.everyday import CASUAL
from tests.engine.conversation import (
    BOTTLE,
    TO_PRESSURE,
    TO_SERIAL,
    TO_SIDE,
    TO_TEMPERATURE,
    Conversation,
    at,
    heard,
)
from tests.long_task import LongRun

# Help in place of "say again".


def test_what_was_heard_well_and_means_nothing_here_is_answered_with_what_does() -> None:
    assert at("okay").answer == "I heard okay. Say pin fitted."
    assert at(*TO_PRESSURE, "three thousand", "yes").answer == (
        "I heard yes. Say affirm, or negative."
    )
    assert at(*TO_PRESSURE, "done").answer == "I heard done. Say pressure and the value, in p s i."
    assert at(*TO_SERIAL, "next").answer == (
        "I heard next. Say the part number, each letter and figure."
    )
    assert at(*TO_SIDE, "roger").answer == "I heard roger. Say left side, or right side."


def test_help_is_in_full_once_and_then_short() -> None:
    run = at("okay", "okay")
    assert run.answer == "Say pin fitted."
    run.say("where am i", "okay")  # something that was answered ends the row
    assert run.answer == "I heard okay. Say pin fitted."


def test_words_that_are_no_phrase_are_helped_and_are_no_doubtful_hearings() -> None:
    run = at("the weather is fine")
    assert run.answer == "I know no such words. Say pin fitted."
    run.say("the weather is fine", "the weather is fine", "the weather is fine")
    assert run.state.phase is Phase.ANSWERING


def test_after_two_doubtful_hearings_it_is_said_what_could_be_heard() -> None:
    run = Conversation().start().mumble()
    assert run.answer == "Say again."
    assert run.mumble().answer == "Say again. Say pin fitted."


@pytest.mark.parametrize("words", ["help", "what can i say"])
def test_help_tells_all_that_can_be_said(words: str) -> None:
    assert at(words).answer == (
        "These can be said: say again, stand by, unable, where am i, back to step and its number, "
        "hand over. Say pin fitted."
    )
    assert at(*TO_PRESSURE, "three thousand", words).answer.endswith("Affirm?")
    assert at("stand by", words).answer == (
        "These can be said: say again, where am i. Say go ahead to go on."
    )
    assert at("unable", words).answer == (
        "These can be said: say again. Say why, in your own words."
    )


# Nothing that counts has everyday words.


@pytest.mark.parametrize("words", CASUAL)
def test_no_casual_word_moves_anything(words: str) -> None:
    for before in ((), (*TO_PRESSURE, "three thousand"), TO_SIDE, ("stand by", "the telephone")):
        run = at(*before)
        there = run.state
        run.say(words)
        assert (run.state.progress, run.state.waits_for) == (there.progress, there.waits_for)
        assert isinstance(run.written[0], NotHeeded)
        assert "Say " in run.answer


@pytest.mark.parametrize(
    "words", ["pin not fitted", "not pin fitted", "pin isn't fitted", "no pin fitted"]
)
def test_a_phrase_with_a_not_in_it_confirms_nothing(words: str) -> None:
    run = at(words)
    assert run.step == "fit-pin"
    assert run.answer == (
        f"I heard {words}. Step one waits. When it is so: Say pin fitted. Else say unable."
    )
    assert run.written == [NotHeeded("fit-pin", tuple(words.split()), NotActedOn.NEGATED)]


def test_a_command_with_a_not_in_it_is_not_followed() -> None:
    run = at("stand by", "the telephone", "don't go ahead")
    assert run.answer == "I heard don't go ahead. Say go ahead first."
    assert run.state.phase is Phase.STANDING_BY
    run = at(*TO_PRESSURE, "three thousand", "not affirm")
    assert run.answer == "I heard not affirm. Say affirm, or negative."
    assert run.step == "pressure"


def test_a_phrase_that_waits_for_affirm_is_taken_back_by_anything_else() -> None:
    for words in ("okay", "pin not fitted", "sorry"):
        run = Conversation(CRITICAL).start()
        run.send(heard("pin fitted", 0.93))
        run.finish_speaking()
        assert run.state.phase is Phase.CONFIRMING
        run.say(words)
        assert Withdrawn("fit-pin") in run.written
        assert run.say("affirm").step == "fit-pin"


_EXPECT = "    expect: {confirm: pin fitted}\n"
CRITICAL = read_task(BOTTLE.replace(_EXPECT, f"{_EXPECT}    critical: true\n"), "critical.yaml")


# Waiting and stopping.


@pytest.mark.parametrize("words", ["wait", "hold on", "pause", "one moment", "stop", "no stop"])
def test_everyday_words_make_it_wait_and_stand_on_the_record_as_said(words: str) -> None:
    run = at(words)
    assert run.state.phase is Phase.STANDING_BY
    assert run.answer == "Standing by. Say why, then go ahead to go on."
    assert run.say("the telephone").answer == "Noted. Say go ahead to go on."
    assert Remarked("fit-pin", "stand by", "the telephone") in run.written


def test_a_stop_is_believed_sooner_than_anything_else() -> None:
    assert STOP_AT < WAIT_AT < PHRASE_AT
    run = Conversation().start().mumble("stop", STOP_AT)
    assert run.written == [StoodBy("fit-pin", "stop")]
    assert Conversation().start().mumble("stop", STOP_AT - 0.01).answer == "Say again."
    assert Conversation().start().mumble("wait", WAIT_AT - 0.01).answer == "Say again."


@pytest.mark.parametrize("words", ["repeat", "what was that", "pardon", "come again"])
def test_everyday_words_have_it_said_again(words: str) -> None:
    assert at(words).answer == at("say again").answer


def test_what_is_harmless_is_answered_while_standing_by() -> None:
    for before in (("unable", "the gauge is broken", "tool"), ("stand by", "the telephone")):
        run = at(*TO_PRESSURE, *before)
        assert run.say("where am i").answer == (
            "Step four of seven, for less than a minute, standing by, "
            f"{'one finding' if before[0] == 'unable' else 'no finding'} open. "
            "Say go ahead to go on."
        )
        assert "go ahead" in run.say("say again").answer
        assert run.say("how do you read").answer == "Readability five."
        assert run.say("what is the limit").answer == (
            "Pressure limits, two eight five zero to three one five zero p s i. "
            "Say go ahead to go on."
        )
        assert run.say("pin fitted").answer == "I heard pin fitted. Say go ahead first."
        assert run.state.phase is Phase.STANDING_BY
        assert run.say("no phrase of the task").answer == "Say go ahead to go on."
        assert run.mumble("hand over", 0.3).answer == ""  # people who talk to each other


def test_go_back_asks_which_step() -> None:
    run = at(*TO_PRESSURE, "go back")
    assert run.answer == "Say back to step, and its number. The last one done was step three."
    assert run.step == "pressure"


# Taken back.


@pytest.mark.parametrize("words", ["no wait", "sorry", "scratch that", "i mean"])
def test_an_everyday_correction_takes_back_and_puts_nothing_in_the_place(words: str) -> None:
    for said in (words, f"{words} two nine zero zero", f"two nine zero zero {words}"):
        run = at(*TO_PRESSURE, "three thousand", said)
        assert run.answer == (
            "Taken back. Say pressure and the value, in p s i. Each figure by itself."
        )
        assert run.written == [Withdrawn("pressure")]
        assert run.state.pending is None
        assert run.say("affirm").step == "pressure"


def test_of_a_value_taken_back_where_it_is_said_nothing_counts() -> None:
    run = at(*TO_PRESSURE, "two nine eight zero no wait two nine six zero")
    assert run.state.pending is None
    assert run.answer.startswith("Taken back. Say pressure and the value")
    # The standard word does put one in the place of the other.
    run = at(*TO_PRESSURE, "two nine eight zero correction two nine six zero")
    assert run.state.pending == 2960


# Questions.


def test_questions_are_answered_from_the_step_and_the_record() -> None:
    run = at(*TO_PRESSURE)
    asks = " Say pressure and the value, in p s i."
    assert run.say("what is the limit").answer == (
        f"Pressure limits, two eight five zero to three one five zero p s i.{asks}"
    )
    assert run.say("what was the temperature").answer == (
        f"Temperature one five degrees celsius, at step three.{asks}"
    )
    assert run.say("what was the last reading").answer == (
        f"Temperature one five degrees celsius, at step three.{asks}"
    )
    assert run.say("how many steps left").answer == f"Step four of seven, three after it.{asks}"
    assert run.say("what is the warning").answer == f"This step has no warning.{asks}"
    assert run.say("which tool").answer == f"This step names no tool.{asks}"
    assert run.say("what part number").answer == f"No part number is on the record yet.{asks}"
    assert run.say("what is next").answer == "Step four. Read the pressure."
    assert run.step == "pressure"


def test_the_warning_is_answered_as_a_warning() -> None:
    run = at("what is the warning")
    assert (
        run.answer == "Warning. The door can move. Caution. Do not force the pin. Say pin fitted."
    )
    assert next(each for each in run.last if isinstance(each, Say)).speech is Speech.WARNING


def test_after_a_question_the_value_that_waits_is_read_back_again() -> None:
    run = at(*TO_PRESSURE, "three thousand", "what is the limit")
    assert run.answer.endswith("Three zero zero zero p s i. Inside limits. Affirm?")


def test_a_number_that_is_still_to_be_read_is_not_told() -> None:
    for question in ("what part number", "what is the part number"):
        answer = at(*TO_SERIAL, question).answer
        assert answer.startswith("Read the part number yourself. I do not say it first.")
        assert "kilo" not in answer
    run = at(*TO_SIDE, "what part number")
    assert run.answer.startswith("Part number kilo delta four seven bravo, at step five.")


MANY_VALUES = """\
task: many
title: Read many values
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: bottle}
equipment:
  - {name: "Torque wrench, 5 to 50 N.m", id: wrench, calibrated: true}
  - {name: Socket, id: socket}
counted:
  ties: {called: harness ties, total: 6}
steps:
  - id: part
    instruction: Read the part number.
    expect: {identity: part number, called: marking}
  - id: gap
    instruction: Read the gap.
    expect:
      reading: length
      called: gap
      unit: in
      resolution: 0.125
      fractions: true
      limits: {max: 0.875}
  - id: number
    instruction: Read the number of the wrench.
    expect: {identity: wrench number, tool: wrench}
  - id: due
    instruction: Read its date.
    expect: {date: calibration due, tool: wrench}
    then: {expired: number}
  - id: torque
    instruction: Tighten it.
    expect: {reading: torque, unit: N.m, resolution: 1, limits: {min: 1}}
    uses: [wrench, socket, ties]
  - id: again
    instruction: Read the gap again.
    expect:
      reading: length
      called: gap
      unit: in
      resolution: 0.125
      fractions: true
      limits: {max: 0.875}
"""


def test_each_value_is_told_by_any_of_its_names_in_its_own_words_and_the_latest_one() -> None:
    run = Conversation(read_task(MANY_VALUES, "t.yaml"))
    run.send(Started(today=date(2027, 3, 15)))
    run.finish_speaking()

    def told(question: str) -> str:
        run.say(question)
        assert isinstance(run.last[0], Say)
        return run.last[0].text

    assert told("which tool") == "This step names no tool."
    assert told("what is the marking") == "Read the marking yourself. I do not say it first."
    assert told("what was the torque") == "No torque is on the record yet."
    run.say("kilo four", "affirm")
    assert told("what is the limit") == "Length limits, at most seven eighths inches."
    assert told("what was the gap") == "Length limits, at most seven eighths inches."
    assert told("what was the last reading") == "No reading is on the record yet."
    run.say("three quarters", "affirm")
    assert told("which tool") == "Torque wrench."
    run.say("tango seven", "affirm", "one five march two zero two seven", "affirm")
    assert told("which tool") == "Torque wrench and Socket and harness ties."
    assert told("what part number") == "Part number kilo four, at step one."
    assert told("what was the marking") == "Part number kilo four, at step one."
    assert told("what was the wrench number") == "Wrench number tango seven, at step three."
    assert told("what was the calibration due") == (
        "Calibration due one five march two zero two seven, at step four."
    )
    assert told("what was the last reading") == "Length three quarters inches, at step two."
    assert told("how many steps left") == "Step five of six, one after it."
    run.say("five", "affirm")
    assert told("what was the last reading") == "Torque five newton metres, at step five."


def test_the_first_of_two_values_stays_secret_whatever_is_asked() -> None:
    run = LongRun().begin().to_step("bottle-pressure")
    value, _ = run.right()
    figures = value.removesuffix(" p s i")
    run.hear(value)
    assert run.state.phase is Phase.SECOND
    for question in ("what was the last reading", "what is the pressure", "read back", "help"):
        run.hear(question, 2)
        assert run.state.phase is Phase.SECOND
        told = run.answer.split("limits,")
        assert figures not in told[0]
    run.hear("no wait", 1)
    assert run.answer.startswith("Withdrawn.")


def test_no_value_is_told_while_a_second_person_has_still_to_state_theirs() -> None:
    """That of another step may be the same."""
    run = LongRun().begin().to_step("bottle-pressure").go_on()
    assert run.state.phase is Phase.SECOND
    for question in ("what was the last reading", "what was the temperature", "what part number"):
        run.hear(question, 2)
        assert run.answer.startswith("I tell no value before the second person has stated theirs.")
    run.go_on().hear("what was the temperature", 1)
    assert run.answer.startswith("Temperature one five degrees celsius, at step ")


# Numbers that sound like others.


def test_a_number_that_sounds_like_another_of_the_scale_is_said_figure_by_figure() -> None:
    run = at(*TO_TEMPERATURE, "fifteen")
    assert run.answer == (
        "That can be two numbers. Say temperature figure by figure, in degrees celsius."
    )
    assert run.written == [ReadingRefused("temperature", "15", None, "sounds like another number")]
    run.say("one five")
    assert run.answer == "One five degrees celsius. Inside limits. Affirm?"


def test_a_number_whose_neighbour_no_scale_shows_is_read_back_in_both_forms() -> None:
    """On a scale of tens, three thousand fifteen is no value: it was fifty."""
    run = at(*TO_PRESSURE, "three thousand fifty")
    assert run.answer == (
        "Three zero five zero, three thousand fifty, p s i. Inside limits. Affirm?"
    )


def test_a_vague_number_is_asked_for_as_the_scale_shows_it() -> None:
    for words in ("about three thousand", "just under three thousand"):
        run = at(*TO_PRESSURE, words)
        assert run.answer == "Say the figure that the scale shows."
        assert run.state.pending is None


# How fast and how loud the tool speaks.


@pytest.mark.parametrize(
    ("word", "how", "step"),
    [
        ("speak slower", "slower", Delivery(pace=-1)),
        ("faster", "faster", Delivery(pace=1)),
        ("louder", "louder", Delivery(loudness=1)),
        ("speak quieter", "quieter", Delivery(loudness=-1)),
    ],
)
def test_how_the_tool_speaks_is_changed_by_word_within_bounds(
    word: str, how: str, step: Delivery
) -> None:
    run = at(*TO_PRESSURE, "three thousand", word)
    assert run.answer == (f"I speak {how}. Three zero zero zero p s i. Inside limits. Affirm?")
    assert run.state.exchange.delivery == step
    run.say(word)
    assert run.say(word).answer.startswith(f"I cannot speak {how} than this.")
    assert (
        max(map(abs, (run.state.exchange.delivery.pace, run.state.exchange.delivery.loudness))) == 2
    )
    assert run.say("affirm").step == "serial"


def test_a_deferral_is_helped_along_at_each_of_its_questions() -> None:
    run = LongRun().begin().to_step("light-test")
    run.hear("unable").hear("the light is dark").hear("tool")
    for before, asks in (
        ("okay", "Say affirm when the step is deferred, or go ahead to try it again."),
        ("affirm", "Say the name of who has deferred it."),
        ("control officer brek", "Say the reference, letter by letter."),
        ("quebec one two", "Say affirm, or negative."),
    ):
        run.hear(before)
        run.hear("help")
        assert asks in run.answer
        assert run.step == "light-test"
