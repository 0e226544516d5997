"""How much silence ends an utterance, by what was heard of it."""

from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.trust import STOP_AT, WAIT_AT
from handsfree.hearing.live.channel import LONGEST_SILENCE
from handsfree.hearing.live.endpoint import Rules
from handsfree.hearing.live.pace import Pace
from handsfree.hearing.live.waits import DOUBTFUL, MOVES_ON, WAITS, Wait, wait_after
from handsfree.words.awaited import Scale
from handsfree.words.heard import EndRule, Heard, Opinion
from handsfree.words.phrases import (
    CasualWords,
    Confirmation,
    Order,
    Phrase,
    PhraseSet,
    Query,
    Reading,
    Standard,
    Taken,
)
from handsfree.words.plain import PlainWord
from handsfree.words.questions import Question
from handsfree.words.rest import Rest
from handsfree.words.standard import StandardWord

_PHRASES: tuple[Phrase, ...] = (
    Reading(("pressure",), "psi"),
    Confirmation("pin fitted"),
    Confirmation("left side"),
    *map(Standard, StandardWord),
    *map(Order, PlainWord),
    *(Query(each) for each in Question if each is not Question.READING),
    Taken(),
    CasualWords(),
)
_SCALE = Scale.around(Decimal(10), Decimal(2800), Decimal(3200))
GAUGE = PhraseSet(_PHRASES, awaited=_SCALE)
CRITICAL = PhraseSet(_PHRASES, critical=True, awaited=_SCALE)
PACE = Pace()
_NOW = timedelta(0)


def hearing(said: str, score: float = 0.99, free_text: str = "") -> Heard:
    words = tuple(said.split())
    opinion = Opinion("whisper", words, -0.1, 5.0, free_text or said)
    return Heard(words, score, (), (opinion,), _NOW, _NOW)


def wait(said: str, phrases: PhraseSet = GAUGE, score: float = 0.99, free_text: str = "") -> Wait:
    return wait_after(hearing(said, score, free_text), phrases, PACE)


def test_the_order_of_the_waits_is_that_of_how_likely_more_is() -> None:
    silences = [WAITS[each].silence for each in (Rest.NOTHING, Rest.UNIT, Rest.MORE)]
    assert silences == sorted(set(silences))
    assert WAITS[Rest.LIKELY_MORE].silence > WAITS[Rest.MORE].silence
    assert WAITS[Rest.MORE].silence == DOUBTFUL.silence == Rules().silence
    assert WAITS[Rest.NOTHING].silence < MOVES_ON.silence < DOUBTFUL.silence


def test_every_way_that_something_may_be_left_has_its_wait() -> None:
    """Recognition starts before any of them is over, and what is kept reaches as far back."""
    assert WAITS.keys() == set(Rest)
    slowest = Pace((100,) * 50).times
    for each in WAITS.values():
        assert Rules().early < each.silence * Pace((0,) * 50).times
        assert each.silence * slowest < LONGEST_SILENCE


@pytest.mark.parametrize(
    ("said", "rule"),
    [
        ("two niner five zero p s i", EndRule.NOTHING_LEFT),
        ("affirm", EndRule.NOTHING_LEFT),
        ("two niner five zero", EndRule.ALL_FIGURES),
        ("negative", EndRule.MORE_POSSIBLE),
        ("two niner", EndRule.NOT_ALL),
    ],
)
def test_what_was_heard_surely_is_waited_for_by_what_may_follow(said: str, rule: EndRule) -> None:
    assert wait(said).rule is rule


@pytest.mark.parametrize("said", ["affirm", "two niner five zero p s i", "two niner five zero"])
@pytest.mark.parametrize("score", [0.0, 0.5, 0.89])
def test_what_is_not_beyond_doubt_ends_nothing_early(said: str, score: float) -> None:
    assert wait(said, score=score) == DOUBTFUL


def test_nothing_heard_ends_nothing_early() -> None:
    assert wait_after(Heard((), 0.0, (), (), _NOW, _NOW), GAUGE, PACE) == DOUBTFUL


def test_a_word_that_is_believed_easily_still_ends_nothing_early_in_doubt() -> None:
    """ "Say again" is acted on from a score of 0.2, since it costs nothing but time."""
    assert wait("say again", score=0.6) == DOUBTFUL


def test_what_is_written_freely_as_the_beginning_of_a_phrase_is_waited_for() -> None:
    """ "Pressure" alone is bent into some whole phrase, and not believed."""
    for bent in ("pin fitted", ""):
        found = wait(bent, score=0.1, free_text="Pressure.")
        assert found.rule is EndRule.NOT_ALL
        assert found.silence > DOUBTFUL.silence


def test_a_stop_is_answered_at_once_whatever_else_seems_to_be_begun() -> None:
    """It is believed from a score of 0.25, and asked about it comes too late."""
    for said, score in (("stop", STOP_AT), ("stand by", WAIT_AT)):
        assert wait(said, GAUGE, score, free_text="Pressure.") == DOUBTFUL
        beneath = wait(said, GAUGE, score - 0.01, free_text="Pressure.")
        assert beneath.rule is EndRule.NOT_ALL


# Nothing is changed by them, whatever is said behind them.
WAITS_OR_ASKS = (
    *("stop", "stand by", "hold on", "say again", "words twice", "read back", "how do you read"),
    *("where am i", "help", "speak slower", "what is the limit", "which tool", "what is next"),
)


@pytest.mark.parametrize("said", WAITS_OR_ASKS)
@pytest.mark.parametrize("phrases", [GAUGE, CRITICAL])
def test_what_only_waits_or_asks_is_answered_soonest(said: str, phrases: PhraseSet) -> None:
    assert wait(said, phrases) == WAITS[Rest.NOTHING]


@pytest.mark.parametrize(
    "said",
    [
        *("affirm", "affirmative", "go ahead", "unable", "disregard", "hand over"),
        *("pin fitted", "left side"),
    ],
)
def test_what_moves_the_work_on_leaves_time_to_take_it_back(said: str) -> None:
    """ "Affirm ... no, negative": under the voice of the tool the second would be lost."""
    assert wait(said) == MOVES_ON
    heard_over = wait_after(hearing(said), GAUGE, PACE, hears_over=True)
    assert heard_over == WAITS[Rest.NOTHING]


def test_a_value_with_its_unit_is_answered_soon_for_it_is_read_back_and_affirmed() -> None:
    assert wait("two niner five zero p s i") == WAITS[Rest.NOTHING]


def test_waits_that_are_longer_in_any_case_are_not_cut_short() -> None:
    before = dict.fromkeys(WAITS, DOUBTFUL)
    for said in ("affirm", "pin fitted", "stop", "two niner five zero p s i"):
        assert wait_after(hearing(said), GAUGE, PACE, before) == DOUBTFUL


@pytest.mark.parametrize(
    "said", ["affirm", "pin fitted", "two niner five zero p s i", "two niner five zero", "go ahead"]
)
def test_a_critical_answer_is_waited_for_as_long_as_one_in_doubt(said: str) -> None:
    assert wait(said).silence < wait(said, CRITICAL).silence == DOUBTFUL.silence


@pytest.mark.parametrize("said", ["two niner", "negative", "pressure"])
def test_a_critical_answer_that_is_waited_for_longer_anyway_is_waited_for_no_longer(
    said: str,
) -> None:
    assert wait(said) == wait(said, CRITICAL)


def test_a_critical_value_that_is_not_believed_there_ends_nothing_early() -> None:
    """There it is acted on from 0.95, elsewhere from 0.9 (`engine/trust.py`)."""
    assert wait("two niner five zero p s i", CRITICAL, score=0.94) == DOUBTFUL
    assert wait("two niner five zero p s i", CRITICAL, score=0.96) != DOUBTFUL
    assert wait("two niner five zero p s i", score=0.94) != DOUBTFUL


def test_a_slow_person_is_waited_for_longer_where_more_may_come_and_only_there() -> None:
    slow = Pace((25,) * 20)
    for said in ("two niner five zero", "two niner", "negative"):
        assert wait_after(hearing(said), GAUGE, slow).silence > wait(said).silence
    for said in ("affirm", "two niner five zero p s i"):
        assert wait_after(hearing(said), GAUGE, slow) == wait(said)


_SAID = st.lists(st.sampled_from(sorted(GAUGE.vocabulary)), max_size=6).map(" ".join)


@given(_SAID, st.floats(0, 1), st.lists(st.integers(0, 60), max_size=60), st.booleans())
def test_no_wait_is_shorter_than_the_gap_between_people_or_longer_than_what_is_kept(
    said: str, score: float, pauses: list[int], critical: bool
) -> None:
    pace = Pace()
    for each in pauses:
        pace = pace.after(each)
    found = wait_after(hearing(said, score), CRITICAL if critical else GAUGE, pace)
    assert WAITS[Rest.NOTHING].silence <= found.silence < LONGEST_SILENCE
