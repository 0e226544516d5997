"""The rules of the conversation, each as facts. The numbers are those of the design."""

from decimal import Decimal

import pytest

from handsfree.engine.advance import UnexpectedEvent
from handsfree.engine.effects import Listen, Say, Speech, Write
from handsfree.engine.entries import (
    ChoiceMade,
    FindingCategorised,
    FindingOpened,
    IdentityRead,
    NotActedOn,
    NotHeeded,
    ReadingRefused,
    ReadingTaken,
    StepBegun,
    StepConfirmed,
    StoodBy,
    TaskEnded,
    WentOn,
    Withdrawn,
)
from handsfree.engine.events import Spoken, Started
from handsfree.engine.phase import Phase
from handsfree.task.limits.forms import Verdict
from handsfree.words.meanings import Confirmed, Understood
from tests.engine.conversation import (
    TO_END,
    TO_PRESSURE,
    TO_SERIAL,
    TO_SIDE,
    TO_TEMPERATURE,
    Conversation,
    at,
    heard,
)

# Rule 1: warning or caution, then the instruction, then listen.


def test_warning_caution_and_note_are_said_before_the_instruction() -> None:
    spoken = [each.speech for each in Conversation().start().effects if isinstance(each, Say)]
    assert spoken[-4:] == [Speech.WARNING, Speech.CAUTION, Speech.NOTE, Speech.INSTRUCTION]


def test_nothing_is_listened_for_before_the_last_word_is_out() -> None:
    run = Conversation()
    run.send(Started())
    assert not run.listens
    run.send(Spoken())
    assert run.listens


def test_nothing_is_confirmed_while_the_warning_is_being_said() -> None:
    run = Conversation()
    run.send(Started())
    before = run.state
    run.send(heard("pin fitted"))
    assert run.state == before
    assert run.written == [NotHeeded("fit-pin", ("pin", "fitted"), NotActedOn.SPOKEN_OVER)]


def test_a_step_that_expects_nothing_is_followed_by_the_next() -> None:
    run = at(*TO_TEMPERATURE)
    assert run.step == "temperature"
    assert run.did == [
        StepConfirmed,
        StepBegun,
        Speech.READ_BACK,
        Speech.INSTRUCTION,
        StepConfirmed,
        StepBegun,
        Speech.INSTRUCTION,
    ]


def test_the_confirmation_is_read_back_before_the_next_step() -> None:
    assert at("pin fitted").did == [
        StepConfirmed,
        StepBegun,
        Speech.READ_BACK,
        Speech.INSTRUCTION,
        StepConfirmed,
        StepBegun,
        Speech.INSTRUCTION,
    ]


# Rule 2: every reading is spoken back digit by digit with its verdict.


def test_a_reading_is_read_back_digit_by_digit_with_its_verdict() -> None:
    run = at(*TO_PRESSURE, "three thousand p s i")
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    assert run.written == [
        ReadingTaken(
            "pressure",
            Decimal(3000),
            "psi",
            "3000",
            Verdict.INSIDE,
            lowest="2850",
            highest="3150",
            corrects=False,
        )
    ]


def test_a_reading_moves_the_step_only_after_affirm() -> None:
    run = at(*TO_PRESSURE, "three thousand")
    assert run.step == "pressure"
    assert run.say("affirm").step == "serial"


@pytest.mark.parametrize(
    ("said", "verdict"),
    [("two eight four zero", Verdict.BELOW), ("three one six zero", Verdict.ABOVE)],
)
def test_a_reading_outside_limits_never_advances(said: str, verdict: Verdict) -> None:
    run = at(*TO_PRESSURE, said)
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    assert run.verdict is verdict
    assert run.say("affirm").step == "pressure"
    assert run.did == [NotHeeded, Speech.QUESTION]


def test_a_reading_at_the_limit_is_inside() -> None:
    assert at(*TO_PRESSURE, "two eight five zero").verdict is Verdict.INSIDE
    assert at(*TO_PRESSURE, "three one five zero").verdict is Verdict.INSIDE


def test_after_a_reading_outside_limits_it_may_be_measured_again() -> None:
    run = at(*TO_PRESSURE, "two eight four zero", "three thousand", "affirm")
    assert run.step == "serial"


def test_a_reading_in_another_unit_is_asked_about() -> None:
    run = at(*TO_PRESSURE, "two zero zero bar")
    assert run.did == [ReadingRefused, Speech.QUESTION]
    assert run.written == [ReadingRefused("pressure", "200", "bar", "another unit")]


def test_a_reading_finer_than_the_scale_is_asked_about() -> None:
    run = at(*TO_PRESSURE, "two nine five five")
    assert run.did == [ReadingRefused, Speech.QUESTION]
    assert run.step == "pressure"


def test_an_identity_is_spelled_back_and_waits_for_affirm() -> None:
    run = at(*TO_SERIAL, "part number kilo delta four seven bravo")
    assert run.did == [IdentityRead, Speech.READ_BACK, Speech.QUESTION]
    assert run.step == "serial"
    assert run.say("affirm").step == "side"


def test_an_identity_that_the_task_does_not_name_never_advances() -> None:
    run = at(*TO_SERIAL, "kilo delta four eight bravo")
    assert run.did == [IdentityRead, Speech.READ_BACK, Speech.QUESTION]
    assert run.say("affirm").step == "serial"


def test_the_wrong_choice_never_advances() -> None:
    run = at(*TO_SIDE, "right side")
    assert run.did == [ChoiceMade, Speech.READ_BACK, Speech.QUESTION]
    assert run.step == "side"
    assert run.say("left side").step == "remove-pin"


# Rule 4: a doubtful hearing is never acted on.


def test_a_doubtful_hearing_is_asked_for_again() -> None:
    run = Conversation().start().mumble("pin fitted", score=0.5)
    assert run.did == [NotHeeded, Speech.QUESTION]
    assert run.step == "fit-pin"
    assert run.written == [NotHeeded("fit-pin", ("pin", "fitted"), NotActedOn.DOUBTFUL)]


def test_words_outside_the_phrase_set_are_not_acted_on_whatever_their_score() -> None:
    run = at("the weather is fine")
    assert run.did == [NotHeeded, Speech.QUESTION]
    assert run.step == "fit-pin"


def test_after_three_doubtful_hearings_the_step_waits_and_says_why() -> None:
    run = Conversation().start().mumble("", 0).mumble("", 0).mumble("", 0)
    assert run.did == [NotHeeded, StoodBy, Speech.READ_BACK]
    assert run.state.phase is Phase.STANDING_BY
    assert StoodBy("fit-pin", "3 doubtful hearings") in run.written


def test_a_good_hearing_ends_the_row_of_doubtful_ones() -> None:
    run = Conversation().start().mumble().mumble().say("say again").mumble().mumble()
    assert run.state.phase is Phase.ANSWERING


def test_digit_pairs_are_asked_for_digit_by_digit() -> None:
    run = at(*TO_PRESSURE, "thirty twelve")
    assert run.did == [NotHeeded, Speech.QUESTION]
    assert run.step == "pressure"


def test_say_again_while_a_value_waits_repeats_the_value() -> None:
    """Else "affirm" after a correction that was not heard would affirm the old value unheard."""
    run = at(*TO_PRESSURE, "three thousand").mumble("two nine zero zero", 0.5)
    assert run.did == [NotHeeded, Speech.QUESTION, Speech.READ_BACK, Speech.QUESTION]


def test_a_phrase_of_another_step_is_heard_as_itself_and_not_acted_on() -> None:
    run = at("pin removed")
    assert run.did == [NotHeeded, Speech.QUESTION]
    assert run.step == "fit-pin"
    assert dict(run.state.states) == {"pin": "removed"}


def test_all_phrases_of_the_task_can_be_heard_at_any_step() -> None:
    run = Conversation().start()
    listen = next(each for each in run.last if isinstance(each, Listen))
    assert listen.phrases.parse(["pin", "removed"]) == Understood(Confirmed("pin removed"))


# Rule 5: correction before the next confirmation replaces the last value; both stay in the log.


def test_correction_replaces_the_value_and_both_are_written() -> None:
    run = at(*TO_PRESSURE, "three thousand", "correction two nine zero zero")
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    taken = [
        each.entry.figures
        for each in run.effects
        if isinstance(each, Write)
        and isinstance(each.entry, ReadingTaken)
        and each.entry.step == "pressure"
    ]
    assert taken == ["3000", "2900"]
    assert dict(run.say("affirm").state.readings)["pressure"] == 2900


def test_another_value_without_correction_is_not_taken_while_one_waits() -> None:
    run = at(*TO_PRESSURE, "three thousand", "two nine zero zero")
    assert run.did == [NotHeeded, Speech.QUESTION]
    assert run.state.pending == 3000


@pytest.mark.parametrize("word", ["negative", "correction", "disregard"])
def test_a_value_can_be_taken_back(word: str) -> None:
    run = at(*TO_PRESSURE, "three thousand", word)
    assert run.did == [Withdrawn, Speech.QUESTION]
    assert run.written == [Withdrawn("pressure")]
    assert run.state.phase is Phase.ANSWERING
    assert run.say("affirm").step == "pressure"


def test_a_correction_that_cannot_be_taken_withdraws_the_value_before_it() -> None:
    run = at(*TO_PRESSURE, "three thousand", "correction two zero zero bar", "affirm")
    assert run.step == "pressure"


# Rule 6: stand by stops acting on anything but go ahead.


def test_while_standing_by_only_go_ahead_is_acted_on() -> None:
    run = at("stand by")
    assert run.did == [StoodBy, Speech.READ_BACK]
    run.say("the telephone")
    before = run.state
    run.say("pin fitted", "affirm", "unable", "three thousand", "the weather is fine")
    assert run.state == before
    assert run.say("go ahead").did == [
        WentOn,
        StepBegun,
        Speech.READ_BACK,
        Speech.WARNING,
        Speech.CAUTION,
        Speech.NOTE,
        Speech.INSTRUCTION,
    ]


def test_a_doubtful_go_ahead_is_not_acted_on() -> None:
    run = at("stand by").mumble("go ahead", 0.5)
    assert run.state.phase is Phase.STANDING_BY
    assert run.did == [NotHeeded]


def test_a_value_that_waited_is_measured_again_after_standing_by() -> None:
    run = at(*TO_PRESSURE, "three thousand", "stand by", "go ahead", "affirm")
    assert run.step == "pressure"
    assert run.did == [NotHeeded, Speech.QUESTION]


def test_unable_holds_the_task_at_the_step() -> None:
    run = at(*TO_PRESSURE, "two eight four zero", "unable")
    assert run.did == [StoodBy, FindingOpened, Speech.QUESTION]
    run.say("the gauge is broken", "tool")
    assert run.did == [FindingCategorised, Speech.READ_BACK]
    assert run.state.phase is Phase.STANDING_BY


# Standard words that repeat.


def test_say_again_repeats_the_step_with_its_warning() -> None:
    run = at("say again")
    assert run.did == [Speech.WARNING, Speech.CAUTION, Speech.NOTE, Speech.INSTRUCTION]


def test_read_back_repeats_the_value() -> None:
    run = at(*TO_PRESSURE, "three thousand", "read back")
    assert run.did == [Speech.READ_BACK, Speech.QUESTION]


def test_how_do_you_read_is_answered_on_the_readability_scale() -> None:
    """ICAO Annex 10 Vol II, 5.2.1.8.4: 5 is perfectly readable."""
    assert at("how do you read").did == [Speech.READ_BACK]


# The end.


def test_the_end_states_every_state_and_who_releases() -> None:
    run = at(*TO_END, "pin removed")
    assert run.finished
    assert run.did == [StepConfirmed, TaskEnded, Speech.READ_BACK, Speech.NOTICE, Speech.NOTICE]


def test_a_confirmation_changes_the_states_that_the_step_sets() -> None:
    run = at("pin fitted")
    assert dict(run.state.states) == {"pin": "fitted"}
    assert StepConfirmed("fit-pin", "pin fitted", (("pin", "fitted"),)) in run.written


# Events that cannot happen are refused, and change nothing.


def test_a_task_is_started_once() -> None:
    with pytest.raises(UnexpectedEvent, match="the task has already been started"):
        Conversation().start().send(Started())


def test_nothing_is_heard_before_the_start_or_after_the_end() -> None:
    with pytest.raises(UnexpectedEvent, match="nothing is listened for while ready"):
        Conversation().send(heard("affirm"))
    with pytest.raises(UnexpectedEvent, match="nothing is listened for while finished"):
        at(*TO_END, "pin removed").send(heard("affirm"))


def test_nothing_has_been_spoken_while_nothing_was_said() -> None:
    with pytest.raises(UnexpectedEvent, match="nothing was being said"):
        Conversation().start().send(Spoken())


def test_equal_inputs_give_equal_effects() -> None:
    first, second = at(*TO_END, "pin removed"), at(*TO_END, "pin removed")
    assert first.effects == second.effects


# When a hearing is believed.


def test_a_value_must_be_surer_than_a_phrase() -> None:
    run = at(*TO_TEMPERATURE)
    run.mumble("one five", score=0.89)
    assert run.did == [NotHeeded, Speech.QUESTION]
    run.mumble("one five", score=0.9)
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    assert run.mumble("affirm", score=0.79).step == "temperature"
    assert run.mumble("affirm", score=0.8).step == "pressure"
