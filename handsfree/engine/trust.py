"""When a hearing is believed. The numbers of the policy stand here and nowhere else.

A hearing that is right with probability p can be acted on at once, read back to wait for "affirm",
or asked for again. Each has a cost, in units of one needless "say again":

    act          (1 - p) W             W: the cost of acting on a wrong hearing
    read back    B + (1 - p) u W       B: the exchange; u: the share of wrong read-backs affirmed
    ask again    p                     needless only where the hearing was right

A stop is acted on or asked about only, and a right one that is asked about costs S instead of 1.
The cheapest one is taken. So, by setting two of them equal,

    acting is cheaper than asking            from p = W / (1 + W)
    reading back is cheaper than asking      from p = (B + u W) / (1 + u W)
    acting is cheaper than reading back      from p = 1 - B / ((1 - u) W)
    stopping is cheaper than asking          from p = W / (S + W)

A value is always read back (a rule of the conversation), so its B is spent in any case and counts
as 0. The costs are judgements, put down so that they can be argued with; the thresholds for the
ordinary value and phrase were checked on the tuning half of the speakers, where
`tests/benchmarks/fit_score.py` prints what each threshold costs.

What is never heard surely can still be believed, by the person in place of the score: it is said
to them, and they say it again only if it is right. Of the hearings that are offered so, because
doubtful ones agree, a share w is wrong; of wrong things said to them they let u pass each time. So
after k sayings w u^k are wrong, and k is the least with which that is no more than the threshold
lets pass, 1 - p. What follows, read back and "affirm", follows in both cases. Whatever is offered
after something was denied may be wrong for all that is known (w = 1), and is said once more for
each time. It is assumed that people who are asked "is it this" let no more pass than people who are
told "it is this", and each time anew.
"""

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from handsfree.words.meanings import (
    Ambiguous,
    BySecond,
    Confirmed,
    Dated,
    Identified,
    Meaning,
    Ordered,
    Parse,
    Spoke,
    Stated,
    Understood,
)
from handsfree.words.plain import PlainWord
from handsfree.words.standard import StandardWord

# An exchange as asking again is, but its answer is one short word.
READ_BACK = Fraction(3, 4)
# Who is used to being heard right says "affirm" without listening, one time in ten.
AFFIRMED_UNHEARD = Fraction(1, 10)

# A phrase must be one of a few known ones and is echoed, and what it does is needed by later
# steps: of 467 hearings on the tuning half, most of them of phrases altered by one word, 3 were
# wrong and above 0.8, and 2 above 0.95.
WRONG_PHRASE = 4
# Taken for its opposite, a phrase puts a pin on the record where it is not; and no other hearing
# turns as easily into the very phrase that the step waits for.
WRONG_STATE = 20
# A wrong value lies in the record, and nothing later finds it.
WRONG_VALUE = 90
# A wrong value at a step where the task says that a wrong answer can kill.
WRONG_CRITICAL_VALUE = 190

# Of doubtful hearings of strangers that agree, the share that is wrong. Measured 22 of 41, upper
# end of the 95 % interval 0.68 (`tests/benchmarks/repeats.py`).
OFFERED_AND_WRONG = Fraction(7, 10)

# A stop that was not said costs one "go ahead"; one that is asked about comes too late for whatever
# it was to stop. To wait is always safe, so it is believed sooner than anything else.
WRONG_STOP = 1
LATE_STOP = 3
# A word whose error costs less than the question whether it was said. To say something once more,
# or to tell where the run stands, is as harmless as "say again" itself; to wait is always safe, and
# costs one "go ahead". Not so to go on, to leave a step, or to take a value back.
WRONG_REPETITION = Fraction(1, 4)
WRONG_WAIT = Fraction(1, 2)
# What is said to a person as perhaps heard is dropped at the least sign that it was not.
WRONG_DENIAL = Fraction(1, 4)

# After so many doubtful hearings in a row something else is tried than asking for the same again.
MOST_DOUBTS = 3
# And after so many of one question the step waits, whatever was tried.
MOST_SAYINGS = 8
# What is acted on without a read back must not be noise, however often it is heard.
LEAST_OF_A_WORD = 0.1


class Trust(Enum):
    """What a hearing is good for."""

    ACT = "act"
    READ_BACK = "read back"  # and wait for "affirm"
    ASK_AGAIN = "ask again"


@dataclass(frozen=True, slots=True)
class Stakes:
    """What hangs on a hearing at this moment, besides its meaning."""

    critical: bool = False  # the task says that a wrong answer to this step can kill
    confusable: bool = False  # a phrase that sounds alike and means something else is valid now


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Probabilities from which a hearing is read back, and acted on at once."""

    read_back_from: float
    act_from: float


def acted_on_or_asked(cost: int) -> Thresholds:
    """For what costs `cost` when wrong: act, read back or ask, whichever is cheapest."""
    wrong = Fraction(cost)
    read_back = (READ_BACK + AFFIRMED_UNHEARD * wrong) / (1 + AFFIRMED_UNHEARD * wrong)
    act = max(wrong / (1 + wrong), 1 - READ_BACK / ((1 - AFFIRMED_UNHEARD) * wrong))
    return Thresholds(float(min(read_back, act)), float(act))


def read_back_or_asked(cost: int) -> float:
    """For what is read back in any case: the probability from which that beats asking again."""
    through = AFFIRMED_UNHEARD * cost
    return float(through / (1 + through))


VALUE_AT = read_back_or_asked(WRONG_VALUE)  # 0.9
CRITICAL_VALUE_AT = read_back_or_asked(WRONG_CRITICAL_VALUE)  # 0.95
PHRASE = acted_on_or_asked(WRONG_PHRASE)  # acted on from 0.8, never read back
PHRASE_AT = PHRASE.act_from
STOP_AT = WRONG_STOP / (LATE_STOP + WRONG_STOP)  # 0.25
STATE = acted_on_or_asked(WRONG_STATE)  # read back from 0.917, acted on from 0.958


def acted_on_from(cost: Fraction) -> float:
    """For what is never read back: the probability from which acting beats asking again."""
    return float(cost / (1 + cost))


REPETITION_AT = acted_on_from(WRONG_REPETITION)  # 0.2
WAIT_AT = acted_on_from(WRONG_WAIT)  # 0.333
DENIAL_AT = acted_on_from(WRONG_DENIAL)  # 0.2

_REPEATS = frozenset(
    {
        StandardWord.SAY_AGAIN,
        StandardWord.WORDS_TWICE,
        StandardWord.READ_BACK,
        StandardWord.HOW_DO_YOU_READ,
    }
)


def thresholds(meaning: Meaning | Ambiguous, stakes: Stakes) -> Thresholds:
    """From where on something that means this is read back, and acted on.

    A value that may be acted on is then read back by the rules of the conversation. Only a phrase
    that confirms or chooses can be read back on its own account: a standard word that would have
    to be is asked for again.
    """
    match meaning:
        case Stated() | Identified() | Dated() | BySecond() | Ordered(number=int()) | Ambiguous():
            least = CRITICAL_VALUE_AT if stakes.critical else VALUE_AT
            return Thresholds(least, least)
        case Ordered(word=PlainWord.STOP):
            return Thresholds(STOP_AT, STOP_AT)
        case Spoke(word=StandardWord.STAND_BY):
            return Thresholds(WAIT_AT, WAIT_AT)
        case Spoke(word=word) if word in _REPEATS:
            return Thresholds(REPETITION_AT, REPETITION_AT)
        case Ordered(word=PlainWord.WHERE_AM_I | PlainWord.HELP):
            return Thresholds(REPETITION_AT, REPETITION_AT)
        case Confirmed():
            return STATE if stakes.confusable or stakes.critical else PHRASE
    least = STATE.act_from if stakes.confusable else PHRASE_AT
    return Thresholds(least, least)


def trust(score: float, parsed: Parse, stakes: Stakes = Stakes()) -> Trust:
    """What a hearing with this score and meaning is good for."""
    match parsed:
        case Understood(meaning=meaning):
            least = thresholds(meaning, stakes)
        case Ambiguous():
            least = thresholds(parsed, stakes)
        case _:
            return Trust.ASK_AGAIN
    if score >= least.act_from:
        return Trust.ACT
    return Trust.READ_BACK if score >= least.read_back_from else Trust.ASK_AGAIN


def sayings_wanted(
    meaning: Meaning, stakes: Stakes, denied: int, *, is_read_back: bool = True
) -> int:
    """How often something that is offered must be said again, before it is acted on or read back.

    `denied`: how much was offered before to the same question, and was not it. `is_read_back`:
    whether a phrase waits for "affirm" afterwards, as it does at a step only.
    """
    least = thresholds(meaning, stakes)
    believed_from = least.read_back_from if is_read_back else least.act_from
    passes = 1 - Fraction(believed_from).limit_denominator(10_000)
    wrong = Fraction(1) if denied else OFFERED_AND_WRONG
    times = 1
    while wrong * AFFIRMED_UNHEARD**times > passes:
        times += 1
    return times + denied


def is_believed(score: float, parsed: Parse, critical: bool = False) -> bool:
    """Whether a hearing by itself, outside of a conversation, would be acted on."""
    return trust(score, parsed, Stakes(critical)) is Trust.ACT
