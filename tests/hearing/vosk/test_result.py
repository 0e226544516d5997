"""Vosk's JSON as values: `src/vosk_api.h` and `src/recognizer.cc` of Vosk say what comes."""

from datetime import timedelta

import pytest

from handsfree.hearing.vosk.result import (
    Alternative,
    ResultBroken,
    SaidWord,
    alternatives_in,
    words_in,
)
from tests.hearing.vosk.recorded import (
    DOCUMENTED_WORDS,
    EMPTY_ALTERNATIVES,
    EMPTY_WORDS,
)


def test_the_documented_result_has_five_words_with_times_and_confidence() -> None:
    said = words_in(DOCUMENTED_WORDS)
    assert [each.word for each in said] == ["what", "zero", "zero", "zero", "one"]
    assert said[0] == SaidWord("what", 1.0, timedelta(seconds=0.87), timedelta(seconds=1.11))
    assert said[-1].ended == timedelta(seconds=2.61)


def test_alternatives_carry_a_likelihood_that_is_no_probability() -> None:
    answer = """{
      "alternatives" : [
        {"confidence" : 159.5, "text" : "two nine five zero"},
        {"confidence" : 158.4, "text" : "two five five zero"}]
    }"""
    assert alternatives_in(answer) == (
        Alternative(("two", "nine", "five", "zero"), 159.5),
        Alternative(("two", "five", "five", "zero"), 158.4),
    )


def test_no_sound_gives_no_words() -> None:
    assert words_in(EMPTY_WORDS) == ()
    assert alternatives_in(EMPTY_ALTERNATIVES) == (Alternative((), 1.0),)


def test_a_confidence_a_little_above_one_is_one() -> None:
    answer = '{"result": [{"conf": 1.000001, "start": 0, "end": 1, "word": "a"}], "text": "a"}'
    assert words_in(answer)[0].confidence == 1.0


@pytest.mark.parametrize(
    ("answer", "problem"),
    [
        ("", "Invalid JSON"),
        ("{}", "text: Field required"),
        ('{"text": "one"}', "its words are not those of its text"),
        (
            '{"text": "one", "result": [{"conf": nan, "start": 0, "end": 1, "word": "one"}]}',
            "Invalid JSON",
        ),
        (
            '{"text": "one", "result": [{"conf": NaN, "start": 0, "end": 1, "word": "one"}]}',
            "result.0.conf",
        ),
        ('{"text": "one", "result": [{"conf": 1, "start": 0, "word": "one"}]}', "result.0.end"),
    ],
)
def test_what_is_not_documented_is_refused(answer: str, problem: str) -> None:
    with pytest.raises(ResultBroken, match=rf"none of its results \(.*{problem}"):
        words_in(answer)


def test_alternatives_are_never_none() -> None:
    with pytest.raises(ResultBroken, match="alternatives: Tuple should have at least 1 item"):
        alternatives_in('{"alternatives": []}')
