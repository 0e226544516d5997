"""The score is a probability, and better evidence never lowers it."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.trust import PHRASE_AT, VALUE_AT
from handsfree.hearing.score import Evidence, ReadEvidence, fitted_score

CLEAR = Evidence(
    has_figures=True,
    margin=6.0,
    log_probability=-0.2,
    words=4,
    support=-0.3,
    says_the_same=True,
    least=-0.2,
    end=-0.1,
)
CLEAR_WORDS = replace(CLEAR, has_figures=False, margin=math.inf)

CLEAR_READ_WORDS = replace(CLEAR_WORDS, behind_free=0.1)

CLEAR_VALUE = ReadEvidence(margin=12.0, behind_free=0.0, pieces=(-0.1, -0.05, -0.02, -0.2))

read_evidence = st.builds(
    ReadEvidence,
    margin=st.floats(0, math.inf),
    behind_free=st.floats(-20, 400),
    pieces=st.lists(st.floats(-50, 0), min_size=2, max_size=40).map(tuple),
    letters=st.integers(1, 60),
    named=st.booleans(),
)
evidence = st.builds(
    Evidence,
    has_figures=st.booleans(),
    margin=st.floats(0, math.inf),
    log_probability=st.floats(-200, 0),
    words=st.integers(1, 40),
    support=st.floats(-6, 0),
    says_the_same=st.booleans(),
    least=st.floats(-50, 0),
    end=st.floats(-50, 0),
    behind_free=st.none() | st.floats(-1, 50),
)


def score(of: Evidence | ReadEvidence) -> float:
    return fitted_score().probability(of)


@given(evidence | read_evidence)
def test_a_score_is_a_probability(of: Evidence | ReadEvidence) -> None:
    assert 0 <= score(of) <= 1


@given(evidence, st.floats(0, 20))
def test_a_larger_margin_never_lowers_the_score(of: Evidence, more: float) -> None:
    assert score(replace(of, margin=of.margin + more)) >= score(of)


@given(evidence, st.floats(0, 1))
def test_likelier_words_never_lower_the_score(of: Evidence, part: float) -> None:
    assert score(replace(of, log_probability=of.log_probability * part)) >= score(of)


@given(evidence, st.floats(0, 1))
def test_more_support_never_lowers_the_score(of: Evidence, part: float) -> None:
    assert score(replace(of, support=of.support * part)) >= score(of)


@given(evidence)
def test_free_text_that_says_the_same_never_lowers_the_score(of: Evidence) -> None:
    assert score(replace(of, says_the_same=True)) >= score(replace(of, says_the_same=False))


@given(evidence, st.floats(0, 1))
def test_likelier_pieces_never_lower_the_score(of: Evidence, part: float) -> None:
    assert score(replace(of, least=of.least * part)) >= score(of)
    assert score(replace(of, end=of.end * part)) >= score(of)


@given(evidence, st.floats(0, 20), st.floats(0, 20))
def test_words_that_fit_the_reader_worse_never_score_higher(
    of: Evidence, near: float, more: float
) -> None:
    near_words = replace(of, behind_free=near)
    assert score(replace(near_words, behind_free=near + more)) <= score(near_words)


def test_words_that_whisper_half_believes_are_believed_where_the_reader_hears_them_too() -> None:
    """ "Unable" by strange voices: Whisper writes "a table", the reader just that word."""
    doubtful = replace(CLEAR_WORDS, support=-4.0, says_the_same=False, least=-5.0, end=-0.2)
    assert score(doubtful) < PHRASE_AT
    assert score(replace(doubtful, behind_free=0.05)) >= PHRASE_AT
    assert score(replace(doubtful, behind_free=4.0)) < PHRASE_AT / 2


@given(read_evidence, st.floats(0, 20))
def test_a_value_farther_from_the_next_never_scores_lower(of: ReadEvidence, more: float) -> None:
    assert score(replace(of, margin=of.margin + more)) >= score(of)


@given(read_evidence, st.floats(0, 20))
def test_a_value_farther_behind_the_free_path_never_scores_higher(
    of: ReadEvidence, more: float
) -> None:
    assert score(replace(of, behind_free=of.behind_free + more)) <= score(of)


@given(read_evidence, st.floats(0, 1))
def test_a_value_that_whisper_finds_likelier_never_scores_lower(
    of: ReadEvidence, part: float
) -> None:
    assert score(replace(of, pieces=tuple(each * part for each in of.pieces))) >= score(of)


@pytest.mark.parametrize(
    "doubtful",
    [
        replace(CLEAR_VALUE, margin=0.3),
        replace(CLEAR_VALUE, pieces=(-0.1, -4.0, -0.02, -0.2)),
        replace(CLEAR_VALUE, pieces=(-0.1, -0.05, -0.02, -4.0)),
    ],
    ids=[
        "another meaning is near",
        "Whisper would write another word",
        "more was said",
    ],
)
def test_a_value_with_one_thing_against_it_is_asked_about(doubtful: ReadEvidence) -> None:
    assert score(CLEAR_VALUE) >= VALUE_AT > score(doubtful)


@pytest.mark.parametrize("clear", [CLEAR, CLEAR_WORDS, CLEAR_READ_WORDS])
def test_clear_evidence_is_accepted(clear: Evidence) -> None:
    assert score(clear) > VALUE_AT


# The reader has written "removed" then.
@pytest.mark.parametrize("clear", [CLEAR, CLEAR_WORDS, replace(CLEAR_WORDS, behind_free=3.0)])
def test_a_phrase_with_an_impossible_word_is_not_accepted(clear: Evidence) -> None:
    """ "Pin removed" bent into "pin fitted": the last word, freely, is e^-18 (measured)."""
    bent = replace(clear, least=-18.0, support=-6.0, says_the_same=False)
    assert score(bent) < 0.5


@pytest.mark.parametrize("clear", [CLEAR, CLEAR_WORDS, CLEAR_READ_WORDS])
def test_a_phrase_after_which_more_was_said_is_not_accepted(clear: Evidence) -> None:
    assert score(replace(clear, least=-6.0, end=-6.0, says_the_same=False)) < 0.5


def test_figures_with_a_close_second_meaning_are_asked_about() -> None:
    doubtful = replace(CLEAR, margin=0.1, support=-2.0, log_probability=-3.0)
    assert score(doubtful) < VALUE_AT


def test_the_fitted_file_says_how_it_was_made() -> None:
    assert "tests.benchmarks.fit_score" in fitted_score().made_with
