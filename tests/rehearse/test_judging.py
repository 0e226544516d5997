"""Accepted right, asked again, accepted wrong: by what the engine does."""

from datetime import timedelta

import pytest

from handsfree.rehearse.judging import Judged, Result, judge
from handsfree.rehearse.trials import Stage
from handsfree.words.heard import Heard
from tests.rehearse.stages import LONG, free_choice, stage


def judged(
    moment: str, said: str, heard: str, score: float = 1.0, found: Stage | None = None
) -> Judged:
    found = found or stage()
    at = next(each for each in found.moments if each.name == moment)
    now = at.state.now + timedelta(seconds=5)
    words, channel = tuple(heard.split()), at.line.channel
    return judge(found.task, at.state, said, Heard(words, score, (), (), now, now, channel))


@pytest.mark.parametrize(
    ("moment", "said", "heard", "score", "result"),
    [
        ("fit-hose/answering", "charging hose fitted", "charging hose fitted", 1.0, Result.RIGHT),
        ("fit-hose/answering", "charging hose fitted", "charging hose fitted", 0.3, Result.ASKED),
        ("fit-hose/answering", "charging hose fitted", "", 0.0, Result.ASKED),
        # Another phrase that means nothing here costs a sentence.
        ("fit-hose/answering", "charging hose fitted", "charging valve closed", 1.0, Result.ASKED),
        ("fit-hose/answering", "charging hose removed", "charging hose fitted", 1.0, Result.WRONG),
        ("fit-hose/answering", "charging hose removed", "charging hose removed", 1.0, Result.RIGHT),
        ("fit-hose/answering", "coffee at four", "", 0.0, Result.RIGHT),
        ("fit-hose/answering", "coffee at four", "charging hose fitted", 1.0, Result.WRONG),
        # To wait is safe, and costs one "go ahead".
        ("fit-hose/answering", "charging hose fitted", "stop", 1.0, Result.ASKED),
        ("fit-hose/answering", "charging hose fitted", "unable", 1.0, Result.WRONG),
        ("temperature/answering", "two one degrees celsius", "two one", 1.0, Result.RIGHT),
        ("temperature/answering", "two one", "two two", 1.0, Result.WRONG),
        # Outside the limits it is refused, but it was believed.
        ("temperature/answering", "two one", "nine one", 1.0, Result.WRONG),
        # A unit of another quantity is told, and nothing is taken.
        ("temperature/answering", "two one", "two one bar", 1.0, Result.ASKED),
        ("temperature/confirming", "negative", "affirm", 1.0, Result.WRONG),
        ("temperature/confirming", "affirm", "negative", 1.0, Result.WRONG),
        ("temperature/confirming", "affirm", "affirm", 1.0, Result.RIGHT),
        # A value that seems to be corrected is withdrawn: it is asked for anew, and none is taken.
        ("temperature/confirming", "affirm", "correction two two", 0.5, Result.ASKED),
        ("temperature/confirming", "correction two two", "correction two two", 0.5, Result.ASKED),
        ("temperature/confirming", "affirm", "correction two two", 1.0, Result.WRONG),
    ],
)
def test_the_result_is_what_the_engine_does(
    moment: str, said: str, heard: str, score: float, result: Result
) -> None:
    assert judged(moment, said, heard, score).result is result


def test_a_wrong_value_is_read_back_and_a_wrong_phrase_is_not() -> None:
    assert judged("temperature/answering", "two one", "two two").read_back
    assert judged("temperature/answering", "two one", "nine one").read_back  # outside its limits
    assert not judged("fit-hose/answering", "coffee at four", "charging hose fitted").read_back


def test_a_phrase_that_is_read_back_first_is_still_right() -> None:
    found = stage()
    assert "charging hose fitted" not in found.confusable
    assert judged("fit-hose/answering", "charging hose fitted", "charging hose fitted", 0.85).result


@pytest.mark.parametrize(
    ("said", "heard", "result"),
    [
        ("left door", "left door", Result.RIGHT),
        ("left door", "right door", Result.WRONG),
        ("coffee at four", "right door", Result.WRONG),
        ("left door", "", Result.ASKED),
    ],
)
def test_of_a_free_choice_another_one_is_wrong_though_the_run_goes_on_alike(
    said: str, heard: str, result: Result
) -> None:
    assert judged("which-door/answering", said, heard, found=free_choice()).result is result


@pytest.mark.parametrize(
    ("said", "heard", "result"),
    [
        # Neither is the value of the first person, so both differ and are put on the record.
        ("three one zero zero p s i", "three one one zero p s i", Result.WRONG),
        ("three one zero zero p s i", "three one zero zero", Result.RIGHT),
    ],
)
def test_a_value_that_only_goes_on_record_is_wrong_where_it_is_another_one(
    said: str, heard: str, result: Result
) -> None:
    assert judged("bottle-pressure/second", said, heard, found=stage(LONG)).result is result


def test_two_choices_that_are_both_refused_are_asked_for_again() -> None:
    """Nothing is taken of either, and the person is told."""
    one, other = "rear left door", "rear right door"
    found = judged("door-position/answering", one, other, found=stage(LONG))
    assert found.result is Result.RIGHT
