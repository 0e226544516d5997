"""Doubt leads somewhere: what was heard before counts, and is offered to whoever said it."""

from dataclasses import replace
from datetime import timedelta

import pytest

from handsfree.engine.effects import Write
from handsfree.engine.entries import (
    BelievedAtLast,
    FirstStated,
    NotActedOn,
    NotHeeded,
    ReadingTaken,
    SecondStated,
    StatementsDiffer,
    StepConfirmed,
    Withdrawn,
)
from handsfree.engine.events import Started
from handsfree.engine.phase import Phase
from handsfree.engine.trust import MOST_DOUBTS
from handsfree.task.read import read_task
from handsfree.words.heard import Heard, Trouble
from tests.engine.conversation import BOTTLE, TO_PRESSURE, TO_SERIAL, Conversation, heard
from tests.engine.people_task import PEOPLE, TASK, TODAY, VALVE, Crewed
from tests.engine.people_task import TO_PRESSURE as TO_VALVE_PRESSURE

SERIAL = "kilo delta four seven bravo"
NOW = timedelta(0)


def at(*utterances: str, task: str = BOTTLE) -> Conversation:
    return Conversation(read_task(task, "t.yaml")).start().say(*utterances)


def hear(
    run: Conversation, words: str, score: float, *alternatives: str, channel: int | None = None
) -> Conversation:
    others = tuple(tuple(each.split()) for each in alternatives)
    run.send(Heard(tuple(words.split()), score, others, (), NOW, NOW, channel))
    return run.finish_speaking()


def mumbled(run: Conversation, words: str, score: float, times: int) -> Conversation:
    for _ in range(times):
        run.mumble(words, score)
    return run


def written(run: Conversation) -> list[object]:
    return [each.entry for each in run.effects if isinstance(each, Write)]


# Evidence together.


def test_a_value_heard_twice_and_nearly_surely_is_believed() -> None:
    run = at(*TO_PRESSURE).mumble("three thousand", 0.85)
    assert run.answer == "Say again."
    assert run.mumble("three thousand", 0.85).answer == (
        "Three zero zero zero p s i. Inside limits. Affirm?"
    )


def test_the_unit_makes_no_other_value_of_it() -> None:
    run = at(*TO_PRESSURE).mumble("three thousand", 0.85).mumble("three thousand p s i", 0.85)
    assert run.answer.endswith("Affirm?")


def test_two_values_that_differ_are_believed_less_than_either_alone() -> None:
    run = at(*TO_PRESSURE).mumble("two nine zero zero", 0.85).mumble("three thousand", 0.93)
    assert run.answer.startswith("Say again slowly")


def test_a_critical_value_is_not_believed_on_two_that_are_enough_for_another() -> None:
    task = BOTTLE.replace("  - id: pressure\n", "  - id: pressure\n    critical: true\n")
    run = at(*TO_PRESSURE, task=task)
    assert mumbled(run, "three thousand", 0.85, 2).answer.startswith("Say again slowly")


@pytest.mark.parametrize("score", [0.0, 0.3, 0.6])
def test_poor_hearings_are_not_believed_however_many(score: float) -> None:
    run = mumbled(at(*TO_PRESSURE), "three thousand", score, 3)
    assert run.state.pending is None
    assert not any(
        isinstance(each, ReadingTaken) and each.step == "pressure" for each in written(run)
    )


# By rising cost.


def test_the_second_time_it_is_asked_for_in_another_form() -> None:
    assert mumbled(at(*TO_PRESSURE), "three thousand", 0.1, 2).answer == (
        "Say again slowly, each digit by itself. Say pressure and the value, in p s i."
    )
    assert mumbled(at(*TO_SERIAL), SERIAL, 0.1, 2).answer == (
        "Say again slowly, one character at a time. Say the part number, each letter and figure."
    )
    assert mumbled(at(), "pin fitted", 0.1, 2).answer == "Say again. Say pin fitted."


def test_the_third_time_what_was_heard_is_offered() -> None:
    run = mumbled(at(*TO_SERIAL), SERIAL, 0.0, 3)
    assert run.answer == (
        "I may have heard kilo delta four seven bravo. If that is right, say it again, "
        "one character at a time, then affirm. If not, say negative."
    )
    assert run.state.phase is Phase.ANSWERING


def test_what_was_offered_and_said_again_is_read_back_and_waits_for_affirm() -> None:
    run = mumbled(at(*TO_SERIAL), SERIAL, 0.0, 4)
    assert run.answer.endswith("Affirm?")
    assert run.written[0] == BelievedAtLast("serial", tuple(SERIAL.split()), 4)
    assert run.state.pending == "KD47B"
    assert run.say("affirm").step == "side"


def test_another_value_is_never_taken_for_the_one_that_was_offered() -> None:
    run = mumbled(at(*TO_PRESSURE), "three thousand", 0.05, 3).mumble("two nine zero zero", 0.05)
    assert run.state.pending is None
    assert run.answer.startswith("I may have heard three thousand.")


def test_a_critical_value_is_said_twice_after_it_was_offered() -> None:
    task = BOTTLE.replace("  - id: pressure\n", "  - id: pressure\n    critical: true\n")
    run = mumbled(at(*TO_PRESSURE, task=task), "three thousand", 0.05, 4)
    assert run.answer == "Once more, in the same way."
    assert run.mumble("three thousand", 0.05).answer.endswith("Affirm?")


def test_affirm_alone_does_not_take_what_was_offered() -> None:
    run = mumbled(at(*TO_PRESSURE), "three thousand", 0.05, 3).say("affirm")
    assert run.answer.startswith("I may have heard three thousand.")
    assert run.state.pending is None


def test_who_only_affirms_what_was_offered_is_heard_eight_times_and_then_the_step_waits() -> None:
    run = mumbled(at(*TO_PRESSURE), "three thousand", 0.05, 3)
    for _ in range(4):
        assert run.say("affirm").state.phase is Phase.ANSWERING
    assert run.say("affirm").state.phase is Phase.STANDING_BY
    assert "I did not hear you well, three times." in run.answer
    # Asked again, the sayings are counted from the first.
    run.say("go ahead").mumble("three thousand", 0.05)
    assert run.state.phase is Phase.ANSWERING


def test_a_negative_that_is_hardly_there_denies_nothing() -> None:
    run = mumbled(at(*TO_PRESSURE), "three thousand", 0.05, 3).mumble("negative", 0.19)
    assert run.written == [NotHeeded("pressure", ("negative",), NotActedOn.DOUBTFUL)]
    assert run.answer.startswith("I may have heard three thousand.")


def test_a_negative_that_was_offered_and_is_said_again_is_taken() -> None:
    run = mumbled(at(*TO_PRESSURE, "three thousand"), "negative", 0.15, 3)
    assert "I may have heard negative. If that is right, say negative again." in run.answer
    run.mumble("negative", 0.3)
    assert [type(each) for each in run.written] == [BelievedAtLast, Withdrawn]
    assert run.state.phase is Phase.ANSWERING


def test_an_affirm_that_is_offered_comes_after_what_it_would_affirm() -> None:
    run = at("hand over", "go ahead")
    assert run.answer.endswith("Look: safety pin removed. Affirm or negative?")
    assert mumbled(run, "affirm", 0.3, 3).answer == (
        "Look: safety pin removed. Affirm or negative? "
        "I may have heard affirm. If that is right, say affirmative. If not, say negative."
    )


def test_affirm_to_an_offered_correction_does_not_affirm_the_value_before() -> None:
    run = at(*TO_PRESSURE, "three thousand")
    mumbled(run, "correction two nine zero zero", 0.05, 3)
    assert "I may have heard correction two nine zero zero." in run.answer
    run.say("affirm")
    assert run.step == "pressure"
    assert run.mumble("correction two nine zero zero", 0.05).answer.startswith(
        "Two niner zero zero"
    )


@pytest.mark.parametrize("score", [0.2, 0.5, 1.0])
def test_what_is_denied_is_dropped_at_the_least_sign(score: float) -> None:
    run = mumbled(at(*TO_PRESSURE), "three thousand", 0.05, 3).mumble("negative", score)
    assert run.written == [NotHeeded("pressure", ("negative",), NotActedOn.OFFER_DENIED)]
    assert (
        run.answer
        == "Say again slowly, each digit by itself. Say pressure and the value, in p s i."
    )
    run.mumble("three thousand", 0.05)
    assert "I may have heard three thousand" not in run.answer


def test_whoever_is_always_misheard_in_one_way_is_offered_the_next_best() -> None:
    """As the third stranger of the tuning set, whose "six" is heard as "eight" each time."""
    run = at(*TO_PRESSURE)
    wrong, right = "three zero eight zero", "three zero six zero"
    for _ in range(3):
        hear(run, wrong, 0.05, right)
    assert run.answer.startswith(f"I may have heard {wrong}.")
    run.say("negative")
    assert run.answer.startswith(f"I may have heard {right}.")
    hear(run, wrong, 0.05, right)
    assert run.answer == "Once more, in the same way."
    hear(run, wrong, 0.05, right)
    assert run.answer == "Three zero six zero p s i. Inside limits. Affirm?"


def test_a_phrase_that_was_offered_waits_for_affirm() -> None:
    run = mumbled(at(), "pin fitted", 0.05, 4)
    assert run.answer == "Pin fitted. Affirm?"
    assert dict(run.state.states) == {"pin": "removed"}
    run.say("affirm")
    assert StepConfirmed("fit-pin", "pin fitted", (("pin", "fitted"),)) in run.written


def test_affirm_that_is_heard_badly_is_offered_with_the_value_and_said_otherwise() -> None:
    run = mumbled(at(*TO_PRESSURE, "three thousand"), "affirm", 0.3, 2)
    assert run.answer == (
        "Say again: affirmative, or negative. Three zero zero zero p s i. Inside limits. Affirm?"
    )
    assert run.mumble("affirm", 0.3).answer == (
        "Three zero zero zero p s i. Inside limits. Affirm? "
        "I may have heard affirm. If that is right, say affirmative. If not, say negative."
    )
    assert run.mumble("affirmative", 0.3).step == "serial"


def test_noise_that_is_bent_into_affirm_affirms_nothing() -> None:
    run = at(*TO_PRESSURE, "three thousand")
    assert mumbled(run, "affirm", 0.09, 3).state.phase is Phase.STANDING_BY
    assert run.step == "pressure"


def test_unable_that_is_heard_badly_is_offered() -> None:
    run = mumbled(at(), "unable", 0.3, 3)
    assert run.answer.startswith("I may have heard unable. If that is right, say it again.")
    assert run.mumble("unable", 0.3).state.phase is Phase.REMARKING


def test_whose_affirm_is_not_heard_is_asked_by_the_word_that_is() -> None:
    """One voice's "affirm" was heard as nothing each time, and its "affirmative" surely."""
    run = mumbled(at(*TO_PRESSURE, "three thousand"), "", 0.0, 1)
    assert run.answer.startswith("Say again: affirmative, or negative.")
    run.say("affirmative", "kilo delta four seven bravo")
    assert run.answer.endswith("Affirmative?")
    assert run.say("okay").answer == "I heard okay. Say affirmative, or negative."
    run.say("affirm")
    run.say("back to step five")
    assert run.answer.endswith("Affirm when that is done, or negative?")


def test_whoever_says_affirmative_without_need_is_asked_by_the_standard_word() -> None:
    run = at(*TO_PRESSURE, "three thousand", "affirmative", "kilo delta four seven bravo")
    assert run.answer.endswith("Affirm?")


def test_whoever_says_go_ahead_and_is_not_heard_is_told_what_helps() -> None:
    """Else nothing at all would be said, for ever: a score this low is never offered."""
    run = at("stand by", "the telephone")
    answers = [run.mumble("go ahead", 0.05).answer for _ in range(2 * MOST_DOUBTS)]
    told = "Say go ahead again, closer to the microphone. Or type it."
    assert answers == ["", "", told, "", "", told]
    assert run.state.phase is Phase.STANDING_BY


def test_a_go_ahead_in_broken_sound_is_told_why_at_once() -> None:
    run = at("stand by", "the telephone")
    run.send(replace(heard("go ahead", 0.099), trouble=Trouble.TOO_LOUD))
    assert run.answer == (
        "Say go ahead again: too loud, move the microphone away from your mouth. Or type it."
    )
    assert run.finish_speaking().state.phase is Phase.STANDING_BY


def test_go_ahead_that_is_heard_badly_is_offered() -> None:
    run = at("stand by", "the telephone").mumble("go ahead", 0.35)
    assert run.answer == ""
    run.mumble("go ahead", 0.35)
    assert run.answer.startswith("I may have heard go ahead.")
    assert run.mumble("go ahead", 0.35).answer.startswith("Going on.")


def test_what_cannot_be_said_here_is_not_offered() -> None:
    run = mumbled(at(), "negative", 0.3, 3)
    assert run.state.phase is Phase.STANDING_BY


def test_what_was_heard_before_the_step_waited_counts_after_it() -> None:
    run = at(*TO_PRESSURE).mumble("three thousand", 0.05)
    run.mumble("", 0).mumble("", 0)
    assert run.state.phase is Phase.STANDING_BY
    run.say("go ahead")
    assert mumbled(run, "three thousand", 0.05, 3).answer.startswith("I may have heard")


def test_what_was_heard_of_one_question_is_nothing_to_the_next() -> None:
    run = at(*TO_PRESSURE).mumble("three thousand", 0.85)
    run.say("three thousand", "correction", "three thousand")
    assert run.state.exchange.doubt.tries == ()


# Commands have costs of their own.


@pytest.mark.parametrize("score", [0.35, 0.47])
def test_say_again_is_acted_on_far_below_what_a_confirmation_needs(score: float) -> None:
    run = at().mumble("say again", score)
    assert run.answer.endswith("Report pin fitted.")
    assert run.written == []


def test_stand_by_is_acted_on_at_two_fifths() -> None:
    assert at().mumble("stand by", 0.4).state.phase is Phase.STANDING_BY
    assert at().mumble("stand by", 0.3).state.phase is Phase.ANSWERING


@pytest.mark.parametrize("word", ["affirm", "negative", "disregard", "unable"])
def test_a_word_that_costs_something_is_not(word: str) -> None:
    run = at(*TO_PRESSURE, "three thousand").mumble(word, 0.79)
    assert run.answer.startswith("Say again")
    assert run.state.pending is not None


@pytest.mark.parametrize(("words", "score"), [("affirm", 0.79), ("negative", 0.5), ("", 0.0)])
def test_a_doubtful_yes_or_no_is_asked_for_by_its_longer_word_at_once(
    words: str, score: float
) -> None:
    run = at(*TO_PRESSURE, "three thousand").mumble(words, score)
    assert run.answer == (
        "Say again: affirmative, or negative. Three zero zero zero p s i. Inside limits. Affirm?"
    )


def test_what_may_have_been_a_correction_is_asked_for_as_anything() -> None:
    run = at(*TO_PRESSURE, "three thousand").mumble("two niner zero zero", 0.5)
    assert run.answer.startswith("Say again. Three zero zero zero p s i.")


# Two people: a value is not said aloud before both have stated it.


def at_pressure() -> Conversation:
    run = Conversation(TASK)
    run.send(Started(people=PEOPLE, clock=TODAY))
    run.finish_speaking()
    run.say("oscar alfa four one seven", "affirm", "oscar alfa five two two", "affirm")
    return run.say("pin fitted", "valve open")


def test_a_value_that_a_second_person_is_to_state_is_kept_unsaid() -> None:
    run = at_pressure()
    assert run.step == "pressure"
    said = []
    for _ in range(3):
        run.mumble("one five zero zero", 0.05)
        said.append(run.answer)
    assert run.state.phase is Phase.SECOND
    assert not any("five" in each for each in said)
    assert any(isinstance(each, FirstStated) for each in run.written)


def test_two_values_that_are_the_same_and_not_sure_are_said_again_before_affirm_counts() -> None:
    run = mumbled(at_pressure(), "one five zero zero", 0.05, 3)
    mumbled(run, "second one five zero zero", 0.05, 3)
    assert any(isinstance(each, SecondStated) for each in run.written)
    assert run.answer.endswith(
        "Affirm? Neither was heard surely: say the value once more, digit by digit, then affirm."
    )
    assert run.say("affirm").step == "pressure"
    assert run.say("one six zero zero", "affirm").step == "pressure"
    assert run.mumble("one five zero zero", 0.05).answer.endswith("Affirm?")
    assert run.say("affirm").step != "pressure"


@pytest.mark.parametrize("words", ["unable", "say again", "one six zero zero"])
def test_nothing_that_was_hardly_heard_takes_the_place_of_the_value_to_be_said_again(
    words: str,
) -> None:
    run = mumbled(at_pressure(), "one five zero zero", 0.05, 3)
    mumbled(run, "second one five zero zero", 0.05, 3)
    mumbled(run, words, 0.15, 3).say("affirm")
    assert run.step == "pressure"
    assert run.state.phase is Phase.STANDING_BY
    assert run.say("go ahead").state.phase is Phase.ANSWERING


def test_of_two_that_agree_within_the_slack_the_one_that_was_read_back_is_said_again() -> None:
    limits = "limits: {min: 1000, max: 2000}}"
    slack = VALVE.replace(limits, f"{limits[:-1]}, agree_within: 20}}")
    run = Crewed(read_task(slack, "valve.yaml")).say(*TO_VALVE_PRESSURE, "one one zero zero")
    mumbled(run, "second one one two zero", 0.6, 3)
    assert "One one zero zero p s i." in run.answer
    assert run.say("one one two zero", "affirm").step == "pressure"
    assert run.say("one one zero zero", "affirm").step != "pressure"


def test_two_values_that_were_wrong_are_withdrawn() -> None:
    run = mumbled(at_pressure(), "one five zero zero", 0.05, 3)
    mumbled(run, "second one five zero zero", 0.05, 3).mumble("negative", 0.3)
    assert isinstance(run.written[0], Withdrawn)
    assert run.state.phase is Phase.ANSWERING


def test_two_that_differ_are_told_and_both_are_asked_again() -> None:
    run = mumbled(at_pressure(), "one five zero zero", 0.05, 3)
    mumbled(run, "second one six zero zero", 0.05, 3)
    assert any(isinstance(each, StatementsDiffer) for each in run.written)
    assert "six" not in run.answer


def test_the_technician_repeating_is_no_hearing_of_the_second_person() -> None:
    run = mumbled(at_pressure(), "one five zero zero", 0.05, 3)
    for channel in (1, 1, 2):
        hear(run, "one five zero zero", 0.05, channel=channel)
    assert run.state.phase in (Phase.SECOND, Phase.STANDING_BY)
    assert not any(isinstance(each, SecondStated) for each in written(run))


def test_where_anyone_may_answer_what_two_headsets_heard_counts_together() -> None:
    run = at(*TO_PRESSURE)
    hear(run, "three thousand", 0.85, channel=1)
    assert hear(run, "three thousand", 0.85, channel=2).answer.endswith("Affirm?")


def test_one_hearing_is_the_same_with_and_without_doubt_before_another_question() -> None:
    run = at(*TO_PRESSURE)
    run.send(heard("three thousand", 0.9))
    assert run.finish_speaking().answer.endswith("Affirm?")


# What is wrong with the sound.


@pytest.mark.parametrize(
    ("trouble", "answer"),
    [
        (Trouble.TOO_LOUD, "Say again: too loud, move the microphone away from your mouth."),
        (Trouble.BROKEN_UP, "Say again: the sound is broken, check the headset."),
        (Trouble.MORE_SOUND, "Say again: more was said than I heard, one person at a time."),
        (Trouble.TWO_VOICES, "Say again: two voices at once, one person at a time."),
        (Trouble.TOO_FAST, "Say again: it sounds too fast, say it slower or check the headset."),
        (Trouble.TOO_SLOW, "Say again: it sounds too slow, say it quicker or check the headset."),
        (Trouble.BROKEN_OFF, "Say again: the end was cut off, say all of it."),
    ],
)
def test_whoever_is_asked_again_hears_what_is_wrong_with_the_sound(
    trouble: Trouble, answer: str
) -> None:
    run = at(*TO_PRESSURE)
    run.send(replace(heard("three thousand", 0.1), trouble=trouble))
    assert run.finish_speaking().answer == answer
