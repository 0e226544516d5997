"""The engine follows the course of a task that branches, and only that."""

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.advance import UnexpectedEvent, advance, before_start
from handsfree.engine.effects import Speech, Write
from handsfree.engine.entries import (
    AnsweredTooEarly,
    ChoiceMade,
    FindingCategorised,
    NotHeeded,
    PhraseReadBack,
    ReadingTaken,
    StepBegun,
    StepConfirmed,
    StepDeferred,
    StepLeft,
    StoodBy,
    TaskEnded,
    WentOn,
)
from handsfree.engine.events import Started
from handsfree.engine.phase import Phase
from handsfree.task.course import Position, move, ways
from handsfree.task.proof.explore import Cone, Leg, Walk, walk
from handsfree.words.heard import Heard
from handsfree.words.standard import StandardWord
from tests.engine.branching import DEFER, TASK, TOO_LONG, UNABLE, WAITED, Branching, said_for
from tests.engine.conversation import heard
from tests.how_many import examples

TO_CLOSE = ("pin in", "upper tie taken", "lower tie taken")
TO_PRESSURE = (*TO_CLOSE, "valve closed")
EVERYTHING = Cone(frozenset(TASK.states), frozenset(TASK.counted), frozenset({"close-valve"}))


def at(*utterances: str, side: str = "right") -> Branching:
    return Branching(side).say(*utterances)


def at_cover() -> Branching:
    return at(*TO_PRESSURE).after(WAITED).say("one five zero", "affirm")


# The engine and the course agree.


@pytest.fixture(scope="module")
def found() -> Walk:
    return walk(TASK, EVERYTHING, lambda _: None)


def followed(legs: tuple[Leg, ...], side: str) -> Branching:
    run = Branching(side)
    for leg in legs:
        run.leave_by(leg.way)
    return run


def test_every_move_that_was_proved_is_a_move_of_the_engine(found: Walk) -> None:
    """Each way out of each position that can be reached, by what a person would say."""
    assert len(found.legs) > 40
    for leg, reached in found.legs:
        run = followed((*found.way_to(leg.left), leg), dict(leg.left.variants)["side"])
        assert run.state.position == reached


WORDS = sorted(
    {word.value for word in StandardWord}
    | {words for step in TASK.steps for way in ways(step) for words in said_for(step, way)}
    | {"correction one two zero", "three hundred", "correction five zero"}
)


SCORES = st.sampled_from([0.5, 0.93, 1.0, 1.0])


def moves_from(position: Position) -> set[Position]:
    if position.step == len(TASK.steps):
        return set()
    return {move(TASK, position, way) for way in ways(TASK.steps[position.step])}


@settings(max_examples=examples(200), deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(WORDS), SCORES, st.integers(0, 90)),
        max_size=40,
    ),
    st.sampled_from(["left", "right"]),
)
def test_every_move_of_the_engine_was_proved(
    found: Walk, utterances: list[tuple[str, float, int]], side: str
) -> None:
    run = Branching(side)
    # The first answers are right, so that most examples get past the first step.
    for words, score, minutes in [("pin in", 1.0, 0), *utterances]:
        if run.finished:
            break
        before = run.state.position
        run.after(timedelta(minutes=minutes))
        run.mumble(words, score) if score < 1 else run.say(words)
        after = run.state.position
        done_at = dict(run.state.progress.done_at)
        assert {step for step, done in after.answered if done} == done_at.keys()
        assert after in found.came_by
        assert after == before or after in moves_from(before)
        confirmed = any(
            isinstance(each, StepConfirmed | StepLeft | StepDeferred) for each in run.written
        )
        assert confirmed == (after != before)


# A choice.


def test_a_phrase_that_is_read_back_first_leaves_the_step_once_it_is_affirmed() -> None:
    run = at_cover()
    run.send(heard("cover fitted", 0.93, run.now))
    run.finish_speaking()
    assert run.did == [PhraseReadBack, Speech.READ_BACK, Speech.QUESTION]
    assert run.step == "fit-cover"
    run.say("affirm")
    assert run.step == "look-again"
    assert StepConfirmed("fit-cover", "cover fitted", (("cover", "fitted"),)) in run.written


def test_a_choice_that_leads_on_sets_what_it_says() -> None:
    run = at("pin out")
    assert run.step == "fit-pin"
    assert dict(run.state.states)["pin"] == "removed"
    assert run.did == [ChoiceMade, StepConfirmed, StepBegun, Speech.READ_BACK, Speech.INSTRUCTION]


def test_a_choice_without_more_goes_to_the_next_step() -> None:
    run = at("pin in")
    assert run.step == "tie-upper"
    assert StepConfirmed("look", "pin in", (("pin", "fitted"),)) in run.written


def test_a_jump_leads_back() -> None:
    assert at("pin out", "pin fitted").step == "look"


# A step for each thing in a list.


def test_a_step_is_done_for_each_thing_in_the_order_of_the_list() -> None:
    run = at("pin in")
    assert run.did == [ChoiceMade, StepConfirmed, StepBegun, Speech.READ_BACK, Speech.INSTRUCTION]
    assert run.say("upper tie taken").step == "tie-lower"
    assert dict(run.state.counts) == {"ties": 1}


# A reading that leads on.


def test_a_value_outside_limits_leads_on_only_after_affirm() -> None:
    run = at(*TO_PRESSURE).after(WAITED).say("five zero")
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    assert run.step == "pressure"
    run.say("affirm")
    assert run.step == "close-valve"
    assert StepLeft("pressure", "below", "affirm", (), planned=True) in run.written
    assert run.state.readings == ()


def test_a_value_outside_limits_that_was_misheard_can_be_corrected() -> None:
    run = at(*TO_PRESSURE).after(WAITED).say("five zero", "correction one five zero")
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    assert run.say("affirm").step == "fit-cover"


def test_a_value_outside_limits_that_leads_nowhere_never_advances() -> None:
    run = at(*TO_PRESSURE).after(WAITED).say("three hundred")
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    assert run.say("affirm").step == "pressure"


def test_a_value_outside_limits_takes_back_the_one_before_it() -> None:
    """Else a limit over the reading would be held against a value that is no longer true."""
    run = at(*TO_PRESSURE).after(WAITED).say("one five zero", "affirm", "cover fitted")
    assert dict(run.state.readings) == {"pressure": 150}
    run.say("valve is wet", "cover fitted", "valve leaks").after(WAITED).say("five zero", "affirm")
    assert run.step == "close-valve"
    assert run.state.readings == ()
    assert run.state.progress.left_undone == ()


# A wait.


def test_an_answer_that_comes_too_early_is_asked_for_again_with_the_time_left() -> None:
    run = at(*TO_PRESSURE).after(timedelta(seconds=50)).say("one five zero")
    assert run.did == [AnsweredTooEarly, Speech.QUESTION]
    assert run.written == [
        AnsweredTooEarly("pressure", "one five zero", timedelta(minutes=1, seconds=10))
    ]
    assert run.say("affirm").step == "pressure"
    assert run.after(timedelta(seconds=70)).say("one five zero", "affirm").step == "fit-cover"


def test_a_wait_is_over_only_if_it_was_over_when_the_answer_was_begun() -> None:
    """What is said in the last moment was looked at before it: a gauge read before its time."""
    run = at(*TO_PRESSURE)
    begun, ended = WAITED - timedelta(seconds=1), WAITED + timedelta(seconds=1)
    run.send(Heard(("one", "five", "zero"), 1.0, (), (), begun, ended))
    assert run.written == [AnsweredTooEarly("pressure", "one five zero", timedelta(seconds=1))]


def test_a_time_that_ran_out_while_the_answer_was_said_is_over() -> None:
    run = at(*TO_PRESSURE)
    begun, ended = timedelta(minutes=59), timedelta(hours=1, seconds=1)
    run.send(Heard(("one", "five", "zero"), 1.0, (), (), begun, ended))
    assert StepLeft("pressure", "late", "one five zero", ()) in run.written


def test_an_answer_that_comes_too_late_leads_on() -> None:
    run = at(*TO_PRESSURE).after(TOO_LONG).say("one five zero")
    assert run.step == "close-valve"
    assert run.did == [StepLeft, StepBegun, Speech.READ_BACK, Speech.INSTRUCTION]
    assert StepLeft("pressure", "late", "one five zero", ()) in run.written


def test_the_time_counts_from_when_the_other_step_was_done_last() -> None:
    run = at(*TO_PRESSURE).after(TOO_LONG).say("one five zero", "valve closed", "one five zero")
    assert run.did == [AnsweredTooEarly, Speech.QUESTION]


# A deferral.


def test_unable_asks_whether_the_step_is_deferred_and_by_whom() -> None:
    run = at_cover().say("unable")
    assert StoodBy("fit-cover", "unable") in run.written
    run.say("the hinge is bent", "part")
    assert run.did == [FindingCategorised, Speech.QUESTION]
    assert run.state.phase is Phase.DEFERRING
    assert run.step == "fit-cover"


def test_a_deferred_step_is_left_undone_with_an_open_finding() -> None:
    run = at_cover().say(*DEFER)
    assert run.did == [StepDeferred, StepBegun, Speech.READ_BACK, Speech.INSTRUCTION]
    deferred = ("fit-cover", "the duty engineer", "affirm", ())
    assert StepDeferred(*deferred, "olan ahl", "R31") in run.written
    assert run.state.progress.left_undone == (("fit-cover", "deferred"),)
    assert dict(run.state.states)["cover"] == "left off"


@pytest.mark.parametrize("word", ["go ahead", "negative"])
def test_a_step_that_is_not_deferred_is_begun_again(word: str) -> None:
    run = at_cover().say(*UNABLE, word)
    assert run.did == [WentOn, StepBegun, Speech.READ_BACK, Speech.INSTRUCTION]
    assert run.say("cover fitted").step == "look-again"
    assert run.state.progress.left_undone == ()


def test_an_answer_does_not_defer_the_step() -> None:
    run = at_cover().say(*UNABLE, "cover fitted")
    assert run.step == "fit-cover"
    assert run.did == [NotHeeded, Speech.QUESTION]


def test_a_doubtful_hearing_repeats_the_question_of_the_deferral() -> None:
    run = at_cover().say(*UNABLE).mumble()
    assert run.answer.startswith("Say again. Finding one is open. Step eight can be deferred")


def test_unable_holds_a_step_that_may_not_be_deferred() -> None:
    assert at(*UNABLE).state.phase is Phase.STANDING_BY


# Variants.


def test_a_step_of_another_variant_is_passed_over() -> None:
    left = at(*TO_PRESSURE, side="left").after(WAITED).say("one five zero", "affirm")
    assert left.step == "left-label"
    assert at_cover().step == "fit-cover"


def test_the_opening_says_what_the_run_is_for() -> None:
    effects = [str(each) for each in Branching("left").effects]
    assert any("This run is for side left." in each for each in effects)


@pytest.mark.parametrize("variants", [(), (("side", "upper"),), (("side", "left"), ("a", "b"))])
def test_a_run_starts_only_with_one_value_for_each_variant(
    variants: tuple[tuple[str, str], ...],
) -> None:
    with pytest.raises(UnexpectedEvent, match="is not one value for each of"):
        advance(TASK, before_start(TASK), Started(variants=variants))


# The end.


def test_the_end_tells_the_states_the_counts_and_the_findings() -> None:
    run = at_cover().say(*DEFER, "valve is dry", "ties put back")
    assert run.finished
    assert run.did == [
        StepConfirmed,
        TaskEnded,
        Speech.READ_BACK,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.NOTICE,
    ]
    ended = next(
        each.entry
        for each in run.effects
        if isinstance(each, Write) and isinstance(each.entry, TaskEnded)
    )
    assert ended.findings == (("fit-cover", "deferred"),)
    assert dict(ended.counts) == {"ties": 0}


def test_a_choice_can_end_the_task() -> None:
    assert at("pin bent").finished


def test_a_deferred_step_that_is_done_after_all_has_no_finding_left() -> None:
    run = at_cover().say(*DEFER, "valve is wet")
    assert run.state.progress.left_undone == (("fit-cover", "deferred"),)
    assert run.say("cover fitted").state.progress.left_undone == ()
