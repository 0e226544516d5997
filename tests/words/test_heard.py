"""What a recognizer gives back is in order, or it is not built at all."""

from datetime import timedelta

import pytest

from handsfree.words.heard import Heard


def heard(score: float = 1.0, started_s: int = 0, ended_s: int = 1) -> Heard:
    started, ended = timedelta(seconds=started_s), timedelta(seconds=ended_s)
    return Heard(("affirm",), score, (), (), started, ended)


@pytest.mark.parametrize("score", [0.0, 0.5, 1.0])
def test_a_score_is_a_probability(score: float) -> None:
    assert heard(score).score == score


@pytest.mark.parametrize("score", [-0.001, 1.001, float("nan")])
def test_what_is_no_probability_is_no_score(score: float) -> None:
    with pytest.raises(ValueError, match=rf"^score is a probability, 0 to 1, not {score}$"):
        heard(score)


def test_an_utterance_may_be_over_at_once_and_never_before_it_began() -> None:
    assert heard(started_s=2, ended_s=2).ended == timedelta(seconds=2)
    with pytest.raises(ValueError, match=r"^an utterance cannot end \(0:00:01\) before 0:00:02$"):
        heard(started_s=2, ended_s=1)
