"""The scripted crew does its work well, and comes to every step by every way."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from random import Random

import pytest

from handsfree.engine.phase import Phase
from handsfree.engine.waiting import Confirming
from handsfree.rehearse.answers import NothingToSay, reading_in_words, value_for
from handsfree.rehearse.conversation import conversing, hold
from handsfree.rehearse.crew import next_line
from handsfree.rehearse.heard_surely import surely
from handsfree.task.course import ABOVE, BELOW, INSIDE, ways
from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.bounds import Verdict
from handsfree.words.heard import Heard
from tests.rehearse.stages import LONG, SHORT, stage, task_in


@pytest.mark.parametrize("path", [SHORT, LONG], ids=["short", "long"])
def test_the_crew_comes_to_every_step_that_waits_for_something(path) -> None:  # type: ignore[no-untyped-def]
    assert stage(path).unreached == ()


def test_every_way_out_of_every_step_is_gone_through() -> None:
    task = task_in(LONG)
    tried = {pair for walk in stage(LONG).walks for pair in walk.script}
    besides = {
        (step.id, way.outcome)
        for step in task.steps
        for way in ways(step)
        if not way.done and step.inspection is False
    }
    assert tried >= besides
    assert ("light-test", "deferred") in tried


def test_the_usual_walk_of_the_short_task_says_each_answer_once_and_affirms_each_value() -> None:
    usual = hold(task_in(SHORT))
    assert usual.finished
    words = [turn.line.words for turn in usual.turns]
    assert words.count("affirm") == 3
    assert "charging hose fitted" in words
    assert not any(turn.in_doubt for turn in usual.turns)


def test_equal_seeds_say_equal_words_and_others_say_other_values() -> None:
    said = [[turn.line.words for turn in hold(task_in(SHORT), seed=s).turns] for s in "aab"]
    assert said[0] == said[1] != said[2]


def test_a_value_that_was_read_back_wrong_is_denied() -> None:
    moment = next(each for each in stage().moments if each.name == "temperature/confirming")
    assert next_line(stage().task, moment.state, {}, "").words == "affirm"
    waits = moment.state.waits_for
    assert isinstance(waits, Confirming)
    other = replace(moment.state, waits_for=replace(waits, value=Decimal(-99)))
    assert next_line(stage().task, other, {}, "").words == "negative"


def test_what_is_not_heard_is_said_again_until_the_crew_gives_up() -> None:
    talk = conversing(task_in(SHORT), (), {}, "", ())
    said = next(talk)
    try:
        while True:
            said = talk.send(Heard((), 0.0, (), (), said.at, said.at))
    except StopIteration as ended:
        held = ended.value
    assert not held.finished
    assert len(held.turns) == 12 * 8 + 40
    assert {turn.line.words for turn in held.turns} >= {"go ahead"}


def test_an_offer_that_is_right_is_said_again_and_a_wrong_one_denied() -> None:
    """Doubtful three times, the tool says what it seems to have heard."""
    task = task_in(SHORT)
    moment = next(each for each in stage().moments if each.name == "temperature/answering")
    right = next_line(task, moment.state, {}, "").words
    for heard, answer in ((right, right), ("three three degrees celsius", "negative")):
        talk = conversing(task, (), {}, "", ())
        said = next(talk)
        while said.state.step != moment.state.step or said.state.phase is not Phase.ANSWERING:
            said = talk.send(surely(said.line.words, said.at))
        for _ in range(3):
            doubtful = Heard(tuple(heard.split()), 0.5, (), (), said.at, said.at)
            said = talk.send(doubtful)
        assert said.state.exchange.doubt.offer is not None
        assert said.line.words == answer


def test_who_is_asked_by_affirmative_says_affirmative() -> None:
    """Whose "affirm" is not heard is asked by the other word, and goes on from there."""
    talk = conversing(task_in(SHORT), (), {}, "", ())
    said = next(talk)
    words: list[str] = []
    try:
        while True:
            if said.state.phase is Phase.CONFIRMING:
                words.append(said.line.words)
            deaf = 0.4 if said.line.words == "affirm" else 1.0
            heard = tuple(said.line.words.split())
            said = talk.send(Heard(heard, deaf, (), (), said.at, said.at))
    except StopIteration as ended:
        held = ended.value
    assert held.finished
    assert words[0] == "affirm"
    assert words[-1] == "affirmative"
    first = words.index("affirmative")
    assert set(words[first:]) == {"affirmative"}  # asked by it from then on


@pytest.mark.parametrize("outcome", [INSIDE, BELOW, ABOVE])
def test_a_value_has_the_outcome_that_is_wanted(outcome: str) -> None:
    step = next(each for each in task_in(LONG).steps if each.id == "girt-bar-play")
    assert isinstance(step.expect, ReadingExpected)
    for seed in range(40):
        value = value_for(step.expect, {}, outcome, Random(seed))
        verdict = step.expect.limits.bounds({}).verdict(value)
        assert (
            verdict is {INSIDE: Verdict.INSIDE, BELOW: Verdict.BELOW, ABOVE: Verdict.ABOVE}[outcome]
        )
        assert value % step.expect.resolution == 0


def test_without_the_reading_that_the_limits_need_there_is_nothing_to_say() -> None:
    step = next(each for each in task_in(SHORT).steps if each.id == "nitrogen-pressure")
    assert isinstance(step.expect, ReadingExpected)
    with pytest.raises(NothingToSay, match="the reading of temperature is missing"):
        value_for(step.expect, {}, INSIDE, Random(1))


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("20", "two zero bar"),
        ("2E+1", "two zero bar"),
        ("71.50", "seven one decimal five bar"),
        ("-5", "minus five bar"),
    ],
)
def test_a_value_is_said_figure_by_figure_with_its_unit(value: str, words: str) -> None:
    step = next(each for each in task_in(SHORT).steps if each.id == "nitrogen-pressure")
    assert isinstance(step.expect, ReadingExpected)
    assert reading_in_words(step.expect, Decimal(value)) == words


def test_a_line_is_not_said_before_its_time() -> None:
    for turn in hold(task_in(SHORT)).turns:
        assert turn.heard.started >= turn.line.after >= timedelta(0)
