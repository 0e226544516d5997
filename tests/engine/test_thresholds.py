"""From where on each meaning is acted on, and how often what was offered is said again.

Worked by hand from the costs that stand in `engine/trust.py`.
"""

import pytest

from handsfree.engine.trust import LEAST_OF_A_WORD, Stakes, Thresholds, sayings_wanted, thresholds
from handsfree.words.meanings import (
    Ambiguous,
    Asked,
    BySecond,
    Confirmed,
    Dated,
    Identified,
    Meaning,
    Ordered,
    Spoke,
    Stated,
)
from handsfree.words.plain import PlainWord
from handsfree.words.questions import Question
from handsfree.words.standard import StandardWord

LOW, CRITICAL, CONFUSABLE = Stakes(), Stakes(critical=True), Stakes(confusable=True)
READ = Stated("2950")
PIN = Confirmed("pin fitted")
REPEATS = (
    *(StandardWord.SAY_AGAIN, StandardWord.WORDS_TWICE, StandardWord.READ_BACK),
    StandardWord.HOW_DO_YOU_READ,
)


@pytest.mark.parametrize(
    "value",
    [
        READ,
        Identified("K4"),
        Dated("2027-03-15"),
        BySecond(READ),
        Ordered(PlainWord.BACK_TO_STEP, 4),
        Ordered(PlainWord.CLOSE_FINDING, 4),
        Ambiguous("say each digit"),
    ],
)
def test_a_value_is_believed_from_nine_tenths_and_a_critical_one_from_nineteen_twentieths(
    value: Meaning | Ambiguous,
) -> None:
    """Read back in any case: a tenth of 90, and of 190, in one more than that."""
    assert thresholds(value, LOW) == thresholds(value, CONFUSABLE) == Thresholds(0.9, 0.9)
    assert thresholds(value, CRITICAL) == Thresholds(0.95, 0.95)


@pytest.mark.parametrize(
    ("meaning", "least"),
    [
        (Ordered(PlainWord.STOP), 0.25),
        (Spoke(StandardWord.STAND_BY), 1 / 3),
        *((Spoke(word), 0.2) for word in REPEATS),
        (Ordered(PlainWord.WHERE_AM_I), 0.2),
        (Ordered(PlainWord.HELP), 0.2),
    ],
)
def test_what_is_harmless_is_acted_on_at_little(meaning: Meaning, least: float) -> None:
    for stakes in (LOW, CRITICAL, CONFUSABLE):
        assert thresholds(meaning, stakes) == Thresholds(least, least)


@pytest.mark.parametrize(
    "meaning",
    [
        *(Spoke(word) for word in StandardWord if word not in (*REPEATS, StandardWord.STAND_BY)),
        *(
            Ordered(word)
            for word in PlainWord
            if word not in (PlainWord.STOP, PlainWord.WHERE_AM_I, PlainWord.HELP)
        ),
        Asked(Question.LIMIT),
    ],
)
def test_any_other_word_is_acted_on_from_four_fifths_or_where_another_sounds_alike_from_more(
    meaning: Meaning,
) -> None:
    assert thresholds(meaning, LOW) == thresholds(meaning, CRITICAL) == Thresholds(0.8, 0.8)
    least = thresholds(meaning, CONFUSABLE)
    assert least.read_back_from == least.act_from == pytest.approx(23 / 24)


def test_a_phrase_is_read_back_only_where_much_hangs_on_it() -> None:
    assert thresholds(PIN, LOW) == Thresholds(0.8, 0.8)
    for stakes in (CRITICAL, CONFUSABLE):
        least = thresholds(PIN, stakes)
        assert least.read_back_from == pytest.approx(11 / 12)
        assert least.act_from == pytest.approx(23 / 24)


def test_a_word_is_no_noise_from_a_tenth() -> None:
    assert LEAST_OF_A_WORD == 0.1


@pytest.mark.parametrize(
    ("meaning", "stakes", "is_read_back", "times"),
    [
        (READ, LOW, True, (1, 2, 3)),
        (READ, CRITICAL, True, (2, 3, 4)),
        (PIN, LOW, True, (1, 2, 3)),
        (PIN, CRITICAL, True, (1, 3, 4)),
        (PIN, CRITICAL, False, (2, 3, 4)),
        (PIN, CONFUSABLE, True, (1, 3, 4)),
        (Spoke(StandardWord.AFFIRM), LOW, True, (1, 2, 3)),
        (Spoke(StandardWord.AFFIRM), CONFUSABLE, True, (2, 3, 4)),
    ],
)
def test_what_was_offered_is_said_again_the_more_often_the_more_was_denied_before(
    meaning: Meaning, stakes: Stakes, is_read_back: bool, times: tuple[int, int, int]
) -> None:
    wanted = [sayings_wanted(meaning, stakes, each, is_read_back=is_read_back) for each in range(3)]
    assert wanted == list(times)
