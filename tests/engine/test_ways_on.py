"""No dead end, and no more wrong values than by sure hearings: found by search, and counted."""

import random
from collections.abc import Iterator
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.advance import advance
from handsfree.engine.effects import Say, Write
from handsfree.engine.entries import BelievedAtLast
from handsfree.engine.events import Spoken
from handsfree.engine.evidence import SAME_BY_CHANCE, SAME_CAUSE, Saying, agrees, belief
from handsfree.engine.phase import Phase
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.state import State
from handsfree.engine.trust import (
    AFFIRMED_UNHEARD,
    CRITICAL_VALUE_AT,
    LEAST_OF_A_WORD,
    MOST_DOUBTS,
    MOST_SAYINGS,
    OFFERED_AND_WRONG,
    PHRASE_AT,
    VALUE_AT,
)
from handsfree.engine.waiting import Confirming
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.words.heard import Heard
from handsfree.words.meanings import Spoke, Stated, Understood
from handsfree.words.standard import StandardWord
from tests.engine.conversation import BOTTLE, TO_PRESSURE, Conversation, heard
from tests.engine.people_model import Model
from tests.engine.people_task import TASK as PEOPLE_TASK
from tests.engine.test_any_conversation import right_answer
from tests.how_many import examples

CRITICAL = BOTTLE.replace("  - id: pressure\n", "  - id: pressure\n    critical: true\n")


def next_state(task: Task, state: State, words: str, score: float, *others: str) -> State:
    alternatives = tuple(tuple(each.split()) for each in others)
    at = state.now
    event = Heard(tuple(words.split()), score, alternatives, (), at, at)
    state, _ = advance(task, state, event)
    while state.speaking:
        state, _ = advance(task, state, Spoken())
    return state


def longest(task: Task, start: State, said: tuple[tuple[str, float, str], ...]) -> int:
    """The longest chain of what is not believed, from `start` to a way on: every one is walked.

    A way on: something is acted on, or the step waits and the other ways on are told.
    """
    lengths: dict[State, int] = {}
    on_the_way: set[State] = set()

    def walk(state: State) -> int:
        if state in lengths:
            return lengths[state]
        assert state not in on_the_way, "a circle: these could be said for ever"
        on_the_way.add(state)
        length = 0
        for words, score, other in said:
            then = next_state(task, state, words, score, other)
            # Something was acted on, or what was said was understood and answered.
            if then.waits_for == state.waits_for and then.exchange.doubt.in_all:
                length = max(length, 1 + walk(then))
            else:
                length = max(length, 1)
        on_the_way.discard(state)
        lengths[state] = length
        return length

    return walk(start)


@pytest.mark.parametrize(
    ("task", "before", "said"),
    [
        (
            BOTTLE,
            TO_PRESSURE,
            (
                ("three thousand", 0.3, "two nine zero zero"),
                ("two nine zero zero", 0.3, "three thousand"),
                ("negative", 0.3, ""),
            ),
        ),
        (
            CRITICAL,
            TO_PRESSURE,
            (("three thousand", 0.3, "one"), ("", 0.0, ""), ("negative", 0.3, "")),
        ),
        (BOTTLE, (), (("pin fitted", 0.3, ""), ("unable", 0.3, ""), ("affirm", 0.6, ""))),
        (
            BOTTLE,
            (*TO_PRESSURE, "three thousand"),
            (("affirm", 0.3, ""), ("correction two nine zero zero", 0.3, "")),
        ),
    ],
)
def test_the_longest_chain_from_a_question_to_a_way_on_is_bounded(
    task: str, before: tuple[str, ...], said: tuple[tuple[str, float, str], ...]
) -> None:
    run = Conversation(read_task(task, "t.yaml")).start().say(*before)
    found = longest(run.task, run.state, said)
    assert MOST_DOUBTS < found <= MOST_SAYINGS


# A person who is heard right, and never surely.


def spoken(words: str, chance: random.Random, most: float) -> float:
    """The score with which `words` are heard."""
    standard = {*(each for word in StandardWord for each in word.spellings), "where am i"}
    return chance.uniform(LEAST_OF_A_WORD if words in standard else 0.0, most)


def reply_of_a_person(state: State, right: str, task: Task) -> str:
    """What a person says who listens: yes or no to what is offered, else the answer."""
    offer = state.exchange.doubt.offer
    if offer is None:
        return right
    if offer.waits:
        # What waits is what was said before.
        return " ".join(each for each in offer.wording.words if each != "second")
    if offer.wording.meaning == Spoke(StandardWord.AFFIRM) and right == "affirm":
        return "affirmative"
    parsed = phrases_now(task, state).parse(tuple(right.split()))
    same = isinstance(parsed, Understood) and agrees(parsed.meaning, offer.wording.meaning)
    return right if same else "negative"


@settings(max_examples=examples(25), deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([0.11, 0.3, 0.5, 0.79, 0.95]))
def test_whoever_is_heard_right_but_never_surely_ends_the_task_by_voice_alone(
    seed: int, most: float
) -> None:
    chance = random.Random(seed)
    run = Conversation().start()
    turns = 0
    while not run.finished:
        turns += 1
        right = "go ahead" if run.state.phase is Phase.STANDING_BY else right_answer(run)
        words = reply_of_a_person(run.state, right, run.task)
        run.send(heard(words, spoken(words, chance, most)))
        run.finish_speaking()
        # Six steps and three values to be affirmed: nine questions.
        assert turns <= 9 * (MOST_SAYINGS - 1)


@settings(max_examples=3, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([0.11, 0.79]))
def test_three_people_who_are_never_heard_surely_end_their_task_by_voice_alone(
    seed: int, most: float
) -> None:
    chance = random.Random(seed)
    model = Model()
    for _ in range(1500):
        if model.finished:
            break
        words = reply_of_a_person(model.state, model.right_answer(), PEOPLE_TASK)
        model.send(heard(words, spoken(words, chance, most), model.now))
    assert model.finished


# What is believed and wrong.


def wrong_confirmed(
    task: Task, state: State, weight: Fraction, words: str, others: tuple[str, ...]
) -> Fraction:
    """The weight of ways on which a wrong value is affirmed, until it is taken back or waits.

    The error model: every hearing is `words`, doubtful, with `others` as next best, and all of them
    are wrong. A person who is told something wrong lets it pass in a share u of the cases, each
    time anew, and says what they said before.
    """
    if not weight or state.phase is Phase.STANDING_BY:
        return Fraction(0)
    if isinstance(state.waits_for, Confirming):
        return weight * AFFIRMED_UNHEARD
    said = next_state(task, state, words, 0.05, *others)
    if state.exchange.doubt.offer is None:
        return wrong_confirmed(task, said, weight, words, others)
    denied = next_state(task, state, "negative", 1.0)
    passed, noticed = weight * AFFIRMED_UNHEARD, weight * (1 - AFFIRMED_UNHEARD)
    return wrong_confirmed(task, said, passed, words, others) + wrong_confirmed(
        task, denied, noticed, words, others
    )


@pytest.mark.parametrize(("task", "least"), [(BOTTLE, VALUE_AT), (CRITICAL, CRITICAL_VALUE_AT)])
@pytest.mark.parametrize("others", [(), ("two nine one zero", "two nine two zero")])
def test_no_more_wrong_values_are_affirmed_than_of_hearings_that_are_just_sure_enough(
    task: str, least: float, others: tuple[str, ...]
) -> None:
    """Exact, for every way that the conversation can take; of what is offered a share is wrong."""
    run = Conversation(read_task(task, "t.yaml")).start().say(*TO_PRESSURE)
    words = "two nine zero zero"
    wrong = wrong_confirmed(run.task, run.state, OFFERED_AND_WRONG, words, others)
    assert 0 < wrong <= (1 - Fraction(least).limit_denominator(100)) * AFFIRMED_UNHEARD


def two_hearings(chance: random.Random) -> Iterator[tuple[bool, Saying]]:
    """Two hearings of one value by one voice, and whether each is right.

    The error model: in a share B of all cases one cause decides both; else each is right with the
    probability of its score, and a share C of those that are wrong falls on the same wrong value.
    """
    scores = [chance.uniform(0.7, 0.9), chance.uniform(0.7, 0.9)]
    if chance.random() < SAME_CAUSE:
        right = [chance.random() < sum(scores) / 2] * 2
        wrong = Stated("1")
    else:
        right = [chance.random() < score for score in scores]
        wrong = Stated("1" if chance.random() < SAME_BY_CHANCE else "2")
    meanings = [Stated("0") if right[0] else Stated("1"), Stated("0") if right[1] else wrong]
    for is_right, meaning, score in zip(right, meanings, scores, strict=True):
        yield is_right, Saying(meaning, score, 0)


@pytest.mark.parametrize("least", [VALUE_AT, PHRASE_AT])
def test_of_what_two_hearings_make_believed_no_more_is_wrong_than_of_what_one_does(
    least: float,
) -> None:
    chance = random.Random(15)
    believed = wrong = 0
    for _ in range(6_000):
        (_, first), (right, second) = two_hearings(chance)
        if belief([first, second], second.meaning) >= least > second.score:
            believed += 1
            wrong += not right
    assert believed > 500
    assert wrong / believed <= 1 - least


def test_what_is_believed_at_last_is_on_the_record_before_it_is_said() -> None:
    run = Conversation().start()
    for _ in range(4):
        run.mumble("pin fitted", 0.05)
    kinds = [type(each) for each in run.last if isinstance(each, Write | Say)]
    assert isinstance(run.written[0], BelievedAtLast)
    assert kinds == sorted(kinds, key=lambda kind: kind is Say)
