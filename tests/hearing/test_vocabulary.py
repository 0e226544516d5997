"""What is measured word by word can be said at its moment, or must move nothing there."""

from dataclasses import replace

import pytest

from handsfree.engine.phase import Phase
from handsfree.engine.waiting import CheckingState
from handsfree.words.meanings import Understood
from handsfree.words.standard import StandardWord
from tests.benchmarks.sayings import TASKS
from tests.benchmarks.scripted import Person, SpokenRun, Truth
from tests.benchmarks.vocabulary import (
    ANOTHER,
    ASKED_AGAIN,
    HARMLESS,
    UNDERSTOOD,
    moves_nothing,
    must_move_nothing,
    vocabulary,
)
from tests.engine.conversation import heard

WORDS = {each.words: each for each in vocabulary()}


def test_every_word_has_one_meaning_at_its_moment() -> None:
    for entry in WORDS.values():
        assert isinstance(entry.phrases.parse(entry.words.split()), Understood), entry.words


def test_every_standard_word_is_measured() -> None:
    assert {each.value for each in StandardWord} <= WORDS.keys()


def test_nothing_that_must_move_nothing_would_if_it_was_heard_right() -> None:
    for entry in must_move_nothing("anyone"):
        parsed = entry.phrases.parse(entry.words.split())
        assert not isinstance(parsed, Understood) or moves_nothing(parsed.meaning), entry


@pytest.mark.parametrize(
    ("words", "score", "result"),
    [
        ("affirm", 0.9, UNDERSTOOD),
        ("affirm", 0.79, ASKED_AGAIN),
        ("okay", 0.9, HARMLESS),
        ("stand by", 0.9, HARMLESS),
        ("negative", 0.9, ANOTHER),
        ("bottle pin fitted", 0.9, ANOTHER),
        ("", 0.0, ASKED_AGAIN),
    ],
)
def test_what_a_hearing_comes_to(words: str, score: float, result: str) -> None:
    assert WORDS["affirm"].result(heard(words, score)) == result


def test_what_a_hearing_comes_to_hangs_on_the_moment() -> None:
    """Where one word is all that stands for a state, it must be heard more surely."""
    at_a_step = WORDS["affirm"]
    of_a_state = replace(at_a_step, waits_for=CheckingState("bottle-pin"))
    assert at_a_step.result(heard("affirm", 0.9)) == UNDERSTOOD
    assert of_a_state.result(heard("affirm", 0.9)) == ASKED_AGAIN


@pytest.mark.parametrize("task", TASKS)
def test_the_scripted_person_comes_to_the_end_in_as_many_answers_as_there_are_questions(
    task: str,
) -> None:
    truth, run = Truth.of(SpokenRun(task, "anyone")), SpokenRun(task, "anyone")
    run.begin()
    person = Person(run, truth)
    while not run.finished:
        before = run.state
        words, channel, slowly = person.next_words(run.answer)
        assert not slowly
        run.hear(words, channel)
        assert person.came_on(before), words
    assert truth.differences(run) == []


def test_the_scripted_person_denies_what_was_read_back_wrong() -> None:
    truth, run = Truth.of(SpokenRun(TASKS[0], "anyone")), SpokenRun(TASKS[0], "anyone")
    run.begin().to_step("temperature").hear("one six degrees celsius")
    person = Person(run, truth)
    assert run.state.phase is Phase.CONFIRMING
    assert not person.is_true()
    assert person.next_words(run.answer)[0] == "negative"
    run.hear("affirm").to_step("nitrogen-pressure")
    assert truth.differences(run) == ["temperature: '16' in place of '15'"]


def test_the_scripted_person_does_as_the_tool_asks() -> None:
    run = SpokenRun(TASKS[0], "anyone")
    person = Person(run, Truth.of(SpokenRun(TASKS[0], "anyone")))
    run.begin().to_step("temperature")
    for _ in range(2):
        run.hear("one five degrees celsius", score=0.1)
    assert person.next_words(run.answer) == ("one five degrees celsius", 1, True)
    run.hear("one five degrees celsius", score=0.1)
    assert run.answer.startswith("I may have heard one five degrees celsius.")
    assert person.next_words(run.answer)[0] == "one five degrees celsius"
    assert person.next_words("I may have heard one niner. If that is right")[0] == "negative"
    run.hear("stand by").hear("the telephone")
    assert person.next_words(run.answer)[0] == "go ahead"
