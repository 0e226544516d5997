"""Critical steps, and phrases that sound alike, must be heard more surely than others."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.effects import Speech, Write
from handsfree.engine.entries import (
    ChoiceMade,
    NotActedOn,
    NotHeeded,
    PhraseReadBack,
    ReadingTaken,
    StepBegun,
    StepConfirmed,
    TaskBegun,
    Withdrawn,
)
from handsfree.engine.events import Spoken, Started
from handsfree.engine.open_question import stakes
from handsfree.engine.phase import HIGH_STAKES, Phase
from handsfree.task.read import read_task
from tests.engine.conversation import BOTTLE, TO_SIDE, Conversation, heard
from tests.engine.gauges import TO_LENGTH, at_gauge, listened_for
from tests.engine.gauges import TO_TORQUE as TO_TORQUE_GAUGE
from tests.engine.people_task import INES, SEFA, TARN, TO_LOCK, TO_TORQUE
from tests.engine.people_task import at as crew_at
from tests.how_many import examples


def started(*confusable: str, task: str = BOTTLE) -> Conversation:
    run = Conversation(read_task(task, "t.yaml"))
    run.send(Started(confusable=confusable))
    return run.finish_speaking()


def test_a_critical_value_must_be_heard_more_surely() -> None:
    run = at_gauge(*TO_TORQUE_GAUGE)
    said = "two four newton metres two four newton metres"
    assert run.mumble(said, score=0.94).did == [NotHeeded, Speech.QUESTION]
    assert run.mumble(said, score=0.95).did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]


def test_every_listener_is_asked_where_a_mistake_costs_most() -> None:
    assert listened_for(at_gauge(*TO_TORQUE_GAUGE)).critical
    assert not listened_for(at_gauge(*TO_LENGTH)).critical
    assert listened_for(started("pin fitted")).critical
    assert not listened_for(started("pin removed")).critical


@pytest.mark.parametrize(
    ("said", "phase"),
    [
        ((*TO_LOCK, "lock tied", INES, "affirm"), Phase.INSPECTING),
        ((*TO_TORQUE, "back to step three"), Phase.GOING_BACK),
        (
            (*TO_TORQUE, "hand over", "go ahead", TARN, "affirm", SEFA, "affirm"),
            Phase.CHECKING_STATES,
        ),
    ],
)
def test_every_listener_is_asked_where_one_word_stands_between_the_record_and_a_pin(
    said: tuple[str, ...], phase: Phase
) -> None:
    """In the same phases in which a word must be heard more surely to be acted on."""
    run = crew_at(*said)
    assert run.state.phase is phase
    assert phase in HIGH_STAKES
    assert listened_for(run).critical
    assert stakes(run.task, run.state, ("affirm",)).confusable


def test_not_every_listener_is_asked_where_nothing_hangs_on_it() -> None:
    for said in ((), (TARN,), (*TO_LOCK, "lock tied")):
        run = crew_at(*said)
        assert run.state.phase not in HIGH_STAKES
        assert not listened_for(run).critical


def test_what_sounds_alike_is_on_the_record() -> None:
    entries = [each.entry for each in started("pin fitted").effects if isinstance(each, Write)]
    assert isinstance(entries[0], TaskBegun)
    assert entries[0].confusable == ("pin fitted",)


def test_a_phrase_with_one_that_sounds_alike_is_read_back_and_waits_for_affirm() -> None:
    run = started("pin fitted").mumble("pin fitted", score=0.93)
    assert run.did == [PhraseReadBack, Speech.READ_BACK, Speech.QUESTION]
    assert run.written == [PhraseReadBack("fit-pin", "pin fitted")]
    assert dict(run.state.states) == {"pin": "removed"}
    run.say("affirm")
    assert StepConfirmed("fit-pin", "pin fitted", (("pin", "fitted"),)) in run.written
    assert run.did == [
        StepConfirmed,
        StepBegun,
        Speech.READ_BACK,
        Speech.INSTRUCTION,
        StepConfirmed,
        StepBegun,
        Speech.INSTRUCTION,
    ]


def test_it_is_acted_on_at_once_where_it_was_heard_surely() -> None:
    assert started("pin fitted").mumble("pin fitted", score=0.96).step == "temperature"


def test_it_is_asked_again_where_it_was_heard_less_surely() -> None:
    assert started("pin fitted").mumble("pin fitted", score=0.91).did == [
        NotHeeded,
        Speech.QUESTION,
    ]


def test_a_phrase_of_a_critical_step_is_read_back_too() -> None:
    task = BOTTLE.replace("  - id: fit-pin\n", "  - id: fit-pin\n    critical: true\n")
    run = started(task=task).mumble("pin fitted", score=0.93)
    assert run.did == [PhraseReadBack, Speech.READ_BACK, Speech.QUESTION]


@pytest.mark.parametrize("word", ["negative", "correction", "disregard"])
def test_a_phrase_that_was_read_back_can_be_taken_back(word: str) -> None:
    run = started("pin fitted").mumble("pin fitted", score=0.93).say(word)
    assert run.did == [Withdrawn, Speech.QUESTION]
    assert run.say("affirm").step == "fit-pin"


def test_another_phrase_in_place_of_affirm_withdraws_the_one_read_back() -> None:
    """Else "affirm" after "pin removed" would confirm that the pin is fitted."""
    run = started("pin fitted").mumble("pin fitted", score=0.93).say("pin removed")
    assert run.did == [NotHeeded, Withdrawn, Speech.QUESTION]
    assert run.written == [
        NotHeeded("fit-pin", ("pin", "removed"), NotActedOn.NOT_EXPECTED),
        Withdrawn("fit-pin"),
    ]
    assert run.state.phase is Phase.ANSWERING
    assert run.say("affirm").step == "fit-pin"


def test_a_doubtful_hearing_repeats_the_phrase_that_waits() -> None:
    run = started("pin fitted").mumble("pin fitted", 0.93).mumble("affirm", 0.5)
    assert run.did == [NotHeeded, Speech.QUESTION, Speech.READ_BACK, Speech.QUESTION]


def test_the_phrase_said_again_surely_is_acted_on() -> None:
    run = started("pin fitted").mumble("pin fitted", score=0.93).say("pin fitted")
    assert run.step == "temperature"


def test_a_choice_that_sounds_like_another_is_read_back() -> None:
    run = started("left side", "right side").say(*TO_SIDE).mumble("left side", score=0.93)
    assert run.did == [ChoiceMade, PhraseReadBack, Speech.READ_BACK, Speech.QUESTION]
    assert run.written == [
        ChoiceMade("side", "left side", True),
        PhraseReadBack("side", "left side"),
    ]
    assert run.say("right side").did == [ChoiceMade, Speech.READ_BACK, Speech.QUESTION]
    assert run.say("affirm").step == "side"


@settings(max_examples=examples(60))
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
