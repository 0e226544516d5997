"""Somebody stops in the middle: nothing of it is believed, and all of it is asked for."""

from datetime import timedelta
from decimal import Decimal

import pytest

from handsfree.engine.effects import Listen, Write
from handsfree.engine.entries import NotActedOn, NotHeeded, ReadingTaken, Withdrawn
from handsfree.engine.events import Started
from handsfree.engine.phase import Phase
from handsfree.engine.trust import DENIAL_AT, STOP_AT, VALUE_AT, WAIT_AT
from handsfree.words.awaited import AnyWords, Awaited, Lengths, Scale
from handsfree.words.heard import EndedBy, EndRule, Heard, Opinion
from tests.engine.conversation import TO_PRESSURE, TO_SERIAL, Conversation, at
from tests.engine.people_task import AGREED, PEOPLE, TARN, TASK, TO_COVER, TO_TORQUE, TODAY
from tests.engine.people_task import TO_PRESSURE as TO_CREWS_PRESSURE
from tests.engine.people_task import at as crew_at

_NOW = timedelta(0)
TO_REFERENCE = (*TO_COVER, "unable", "the hinge is bent", "part", *AGREED[:2])


def stopped(run: Conversation, words: str, score: float = 0.99) -> Conversation:
    ended_by = EndedBy(EndRule.NOT_ALL, timedelta(seconds=2))
    run.send(Heard(tuple(words.split()), score, (), (), _NOW, _NOW, ended_by=ended_by))
    return run.finish_speaking()


def awaited(run: Conversation) -> Awaited | None:
    return next(each for each in reversed(run.last) if isinstance(each, Listen)).phrases.awaited


@pytest.mark.parametrize("score", [0.99, 0.3])
def test_half_a_value_is_asked_for_anew_and_not_believed(score: float) -> None:
    run = stopped(at(*TO_PRESSURE), "pressure two niner", score)
    assert run.answer == "Say all of it, with its unit."
    assert run.written == [NotHeeded("pressure", ("pressure", "two", "niner"), NotActedOn.NOT_ALL)]
    assert run.state.pending is None
    assert run.say("affirm").step == "pressure"


def test_the_rest_of_it_alone_is_no_value_with_what_was_said_before() -> None:
    run = stopped(at(*TO_PRESSURE), "pressure two niner").say("six zero")
    (taken,) = [each for each in run.written if isinstance(each, ReadingTaken)]
    assert taken.figures == "60"


def test_half_a_value_that_is_said_three_times_is_never_offered_as_the_whole() -> None:
    run = at(*TO_PRESSURE)
    for _ in range(12):
        stopped(run, "two niner")
        assert "two niner" not in run.answer.lower()
    assert not [
        each
        for each in run.effects
        if isinstance(each, Write)
        and isinstance(each.entry, ReadingTaken)
        and each.entry.figures == "29"
    ]
    assert run.state.phase is Phase.STANDING_BY  # it does not go on for ever


def test_a_value_far_outside_its_limits_is_taken_with_its_unit() -> None:
    """A bottle can be empty, and that is just what must be heard."""
    run = stopped(at(*TO_PRESSURE), "three zero").say("three zero p s i")
    assert run.answer.startswith("Three zero p s i. Below minimum")


def test_what_is_ambiguous_has_a_reason_that_says_more() -> None:
    run = stopped(at(*TO_PRESSURE), "about three thousand")
    assert run.answer == "Say the figure that the scale shows."


def test_a_phrase_that_was_only_begun_is_asked_for_anew() -> None:
    run = stopped(at(), "", 0.0)
    assert run.answer == "Say all of it."


def test_what_is_awaited_at_a_gauge_follows_from_its_limits_at_this_moment() -> None:
    """At 15 degrees between 2,850 and 3,150 psi: the rows are at -20 and 50."""
    assert awaited(at(*TO_PRESSURE)) == Scale(Decimal(10), Decimal(1425), Decimal(6300))


def test_what_is_awaited_of_a_part_number_is_its_length() -> None:
    assert awaited(at(*TO_SERIAL)) == Lengths(frozenset({5}))


def test_nothing_is_awaited_where_a_phrase_is_to_be_said() -> None:
    assert awaited(at()) is None


def test_a_staff_number_is_as_long_as_one_on_the_roster() -> None:
    run = Conversation(TASK)
    run.send(Started(today=TODAY, people=PEOPLE))
    run.finish_speaking()
    assert run.state.phase is Phase.IDENTIFYING
    assert awaited(run) == Lengths(frozenset(len(each.staff_number) for each in PEOPLE))


def test_people_who_talk_while_the_task_waits_may_go_on_from_any_phrase() -> None:
    assert awaited(at("stand by")) == AnyWords()


def test_a_remark_may_go_on_from_any_phrase() -> None:
    run = at(*TO_PRESSURE).say("unable")
    assert run.state.phase is Phase.REMARKING
    assert awaited(run) == AnyWords()


@pytest.mark.parametrize(("words", "score"), [("stop", STOP_AT), ("wait", WAIT_AT)])
@pytest.mark.parametrize("said", [TO_PRESSURE, (*TO_PRESSURE, "two niner six zero")])
def test_to_wait_is_heeded_though_more_was_begun(
    said: tuple[str, ...], words: str, score: float
) -> None:
    """To wait is always safe, and asked about it comes too late for what it was to stop."""
    run = stopped(at(*said), words, score)
    assert run.state.phase is Phase.STANDING_BY
    assert run.answer.startswith("Standing by")


@pytest.mark.parametrize(("words", "score"), [("stop", STOP_AT - 0.01), ("wait", WAIT_AT - 0.01)])
def test_to_wait_is_not_heeded_where_it_is_not_believed(words: str, score: float) -> None:
    assert stopped(at(*TO_PRESSURE), words, score).answer == "Say all of it, with its unit."


@pytest.mark.parametrize("word", ["negative", "correction", "disregard"])
def test_a_value_is_taken_back_though_more_was_begun(word: str) -> None:
    run = stopped(at(*TO_PRESSURE, "two niner six zero"), word)
    assert Withdrawn("pressure") in run.written
    assert run.state.phase is Phase.ANSWERING
    assert run.say("affirm").step == "pressure"


@pytest.mark.parametrize(
    ("said", "word", "phase"),
    [
        ((TARN,), "negative", Phase.IDENTIFYING),
        ((*TO_TORQUE, "back to step three"), "negative", Phase.CHECKING_STATES),
        ((*TO_REFERENCE, "romeo three two"), "disregard", Phase.REMARKING),
        ((*TO_CREWS_PRESSURE, "one five zero zero"), "correction", Phase.ANSWERING),
        # It takes nothing back there.
        ((*TO_CREWS_PRESSURE, "one five zero zero"), "negative", Phase.SECOND),
    ],
)
def test_whatever_waits_is_taken_back_though_more_was_begun(
    said: tuple[str, ...], word: str, phase: Phase
) -> None:
    run = crew_at(*said)
    stopped(run, word)
    assert run.state.phase is phase


def test_what_moves_the_work_on_is_not_heeded_where_more_was_begun() -> None:
    run = stopped(at(*TO_PRESSURE, "two niner six zero"), "affirm")
    assert run.step == "pressure"
    assert run.state.phase is Phase.CONFIRMING


OLD = (*TO_PRESSURE, "two niner six zero")


def doubted(run: Conversation, words: str, score: float, free_text: str = "") -> Conversation:
    opinions = (Opinion("whisper", (), 0.0, 0.0, free_text),)
    run.send(Heard(tuple(words.split()), score, (), opinions, _NOW, _NOW))
    return run.finish_speaking()


def is_withdrawn(run: Conversation, reason: NotActedOn, words: str) -> bool:
    """Whether the old value is gone, and asked for anew, and no "affirm" brings it back."""
    said = tuple(words.split())
    assert run.written == [NotHeeded("pressure", said, reason), Withdrawn("pressure")]
    assert run.answer == "Withdrawn. Report pressure in p s i."
    run.say("affirm")
    return run.step == "pressure" and not dict(run.state.readings).get("pressure")


@pytest.mark.parametrize("score", [0.99, 0.3])
@pytest.mark.parametrize("words", ["correction two niner", "two niner correction two"])
def test_a_correction_that_is_cut_off_withdraws_the_old_value(words: str, score: float) -> None:
    assert is_withdrawn(stopped(at(*OLD), words, score), NotActedOn.NOT_ALL, words)


@pytest.mark.parametrize("score", [DENIAL_AT, 0.5, VALUE_AT - 0.01])
def test_a_correction_that_is_doubted_withdraws_the_old_value(score: float) -> None:
    words = "correction two niner zero zero"
    run = doubted(at(*OLD), words, score)
    assert is_withdrawn(run, NotActedOn.DOUBTFUL, words)
    assert run.say("two niner zero zero", "affirm").step == "serial"


def test_a_correction_that_is_bent_into_something_else_is_known_by_what_is_written_freely() -> None:
    run = doubted(at(*OLD), "pin fitted", 0.1, "Correction, 29.")
    assert is_withdrawn(run, NotActedOn.DOUBTFUL, "pin fitted")


@pytest.mark.parametrize("words", ["correction thirty twelve", "two niner correction"])
def test_a_correction_to_what_is_ambiguous_withdraws_the_old_value(words: str) -> None:
    assert is_withdrawn(at(*OLD, words), NotActedOn.AMBIGUOUS, words)


def test_a_correction_that_a_keyboard_did_not_finish_withdraws_the_old_value() -> None:
    assert is_withdrawn(at(*OLD, "correction pin"), NotActedOn.DOUBTFUL, "correction pin")


def test_noise_that_is_bent_into_a_correction_has_the_value_said_again() -> None:
    run = doubted(at(*OLD), "correction two niner zero zero", DENIAL_AT - 0.01)
    assert run.answer.startswith("Say again. Two niner six zero p s i.")
    assert run.say("affirm").step == "serial"


def test_a_correction_that_is_heard_surely_takes_the_place_of_the_value() -> None:
    run = at(*OLD, "correction two niner zero zero")
    assert run.answer.startswith("Two niner zero zero p s i.")
    assert run.say("affirm").step == "serial"


def test_nothing_is_withdrawn_where_nothing_waits() -> None:
    run = stopped(at(*TO_PRESSURE), "correction two niner")
    assert run.written == [
        NotHeeded("pressure", ("correction", "two", "niner"), NotActedOn.NOT_ALL)
    ]
    assert run.answer == "Say all of it, with its unit."


@pytest.mark.parametrize("words", ["scratch that", "scratch that two"])
def test_everyday_words_take_a_value_back_though_more_was_begun(words: str) -> None:
    run = stopped(at(*OLD), words)
    assert run.written == [Withdrawn("pressure")]
    assert run.say("affirm").step == "pressure"


def test_words_that_take_back_are_asked_about_where_nothing_waits() -> None:
    assert stopped(at(*TO_PRESSURE), "scratch that two").answer == "Say all of it, with its unit."
