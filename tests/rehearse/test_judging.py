"""Accepted right, asked again, accepted wrong: by what the engine does."""

from datetime import timedelta

import pytest

from handsfree.rehearse.judging import Result, judge
from handsfree.words.heard import Heard
from tests.rehearse.stages import stage


def judged(moment: str, said: str, heard: str, score: float = 1.0):  # type: ignore[no-untyped-def]
    found = stage()
    at = next(each for each in found.moments if each.name == moment)
    now = at.state.now + timedelta(seconds=5)
    return judge(found.task, at.state, said, Heard(tuple(heard.split()), score, (), (), now, now))


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
    assert not judged("fit-hose/answering", "coffee at four", "charging hose fitted").read_back


def test_a_phrase_that_is_read_back_first_is_still_right() -> None:
    found = stage()
    assert "charging hose fitted" not in found.confusable
    assert judged("fit-hose/answering", "charging hose fitted", "charging hose fitted", 0.85).result
