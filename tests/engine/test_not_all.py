"""Somebody stops in the middle: nothing of it is believed, and all of it is asked for."""

from datetime import timedelta
from decimal import Decimal

import pytest

from handsfree.engine.effects import Listen, Write
from handsfree.engine.entries import NotActedOn, NotHeeded, ReadingTaken
from handsfree.engine.events import Started
from handsfree.engine.phase import Phase
from handsfree.words.awaited import AnyWords, Awaited, Lengths, Scale
from handsfree.words.heard import EndedBy, EndRule, Heard
from tests.engine.conversation import TO_PRESSURE, TO_SERIAL, Conversation, at
from tests.engine.people_task import PEOPLE, TASK, TODAY

_NOW = timedelta(0)


def stopped(run: Conversation, words: str, score: float = 0.99) -> Conversation:
    ended_by = EndedBy(EndRule.NOT_ALL, timedelta(seconds=2))
    run.send(Heard(tuple(words.split()), score, (), (), _NOW, _NOW, ended_by=ended_by))
    return run.finish_speaking()


def awaited(run: Conversation) -> Awaited | None:
    return next(each for each in reversed(run.last) if isinstance(each, Listen)).phrases.awaited


@pytest.mark.parametrize("score", [0.99, 0.3])
def test_half_a_value_is_asked_for_anew_and_not_believed(score: float) -> None:
    run = stopped(at(*TO_PRESSURE), "pressure two niner", score)
    assert run.answer == "Say all of it."
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
