"""What is said in a rehearsal: each answer, what is dangerously near to it, and talk."""

from decimal import Decimal
from random import Random

import pytest

from handsfree.engine.phrases_now import phrases_now
from handsfree.rehearse.heard_surely import surely
from handsfree.rehearse.judging import Result, judge
from handsfree.rehearse.sayings import Kind, _near_values, sayings_at
from handsfree.words.meanings import Understood
from tests.rehearse.stages import LONG, SHORT, stage


def said_at(name: str) -> dict[Kind, tuple[str, ...]]:
    found = stage()
    moment = next(each for each in found.moments if each.name == name)
    return sayings_at(found.task, moment, Random(3))


@pytest.mark.parametrize("path", [SHORT, LONG], ids=["short", "long"])
def test_what_is_heard_surely_is_never_accepted_wrong_or_asked_again(path) -> None:  # type: ignore[no-untyped-def]
    found = stage(path)
    for moment in found.moments:
        for words in sum(sayings_at(found.task, moment, Random(1)).values(), ()):
            heard = surely(words, moment.state.now, moment.line.channel)
            judged = judge(found.task, moment.state, words, heard)
            assert judged.result is Result.RIGHT, (moment.name, words, judged)


@pytest.mark.parametrize("path", [SHORT, LONG], ids=["short", "long"])
def test_every_moment_has_answers_mistakes_and_talk_and_none_is_two_of_them(path) -> None:  # type: ignore[no-untyped-def]
    found = stage(path)
    for moment in found.moments:
        said = sayings_at(found.task, moment, Random(1))
        answers, mistakes, talk = (set(said[kind]) for kind in Kind)
        assert answers
        assert mistakes
        assert talk
        assert not answers & mistakes
        phrases = phrases_now(found.task, moment.state)
        for words in answers:
            assert isinstance(phrases.parse(words.split()), Understood), (moment.name, words)


def test_the_opposite_the_negated_and_the_neighbours_of_a_phrase_are_said() -> None:
    mistakes = said_at("fit-hose/answering")[Kind.MISTAKE]
    assert "charging hose removed" in mistakes
    assert "charging hose not fitted" in mistakes
    assert "charging valve open" in mistakes
    assert "affirm" in mistakes


def test_in_place_of_affirm_its_opposite_is_said() -> None:
    assert "negative" in said_at("temperature/confirming")[Kind.MISTAKE]


def test_values_one_step_and_one_figure_off_and_with_two_figures_exchanged_are_said() -> None:
    near = set(_near_values(Decimal(68), Decimal(1)))
    assert near >= {Decimal(69), Decimal(67), Decimal(78), Decimal(86)}
    assert Decimal(68) not in near


def test_a_value_that_the_scale_does_not_show_is_not_said() -> None:
    assert all(each % Decimal("0.5") == 0 for each in _near_values(Decimal(24), Decimal("0.5")))


def test_a_teen_and_a_ten_and_another_unit_are_said() -> None:
    mistakes = said_at("nitrogen-pressure/answering")[Kind.MISTAKE]
    assert any("teen bar" in each for each in mistakes)
    assert any(each.endswith("ty bar") for each in mistakes)
    assert any("p s i" in each for each in mistakes)


def test_a_number_with_one_figure_changed_or_two_exchanged_is_read_out() -> None:
    answer = said_at("data-revision/answering")[Kind.ANSWER][0].split()
    mistakes = said_at("data-revision/answering")[Kind.MISTAKE]
    changed = [sum(a != b for a, b in zip(each.split(), answer, strict=True)) for each in mistakes]
    assert changed.count(1) == len(answer)
    assert 2 in changed


def test_people_talk_of_the_work_too() -> None:
    talk = said_at("open-valve/answering")[Kind.TALK]
    assert "open the charging valve" in talk
    assert "is the charging valve open yet" in talk
