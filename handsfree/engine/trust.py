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
    Ordered,
    Parse,
    Stated,
    Understood,
)
from handsfree.words.plain import PlainWord

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

# A stop that was not said costs one "go ahead"; one that is asked about comes too late for whatever
# it was to stop. To wait is always safe, so it is believed sooner than anything else.
WRONG_STOP = 1
LATE_STOP = 3

# After so many doubtful hearings in a row the step waits instead of asking on and on.
MOST_DOUBTS = 3


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


def trust(score: float, parsed: Parse, stakes: Stakes = Stakes()) -> Trust:
    """What a hearing with this score and meaning is good for.

    A value that may be acted on is then read back by the rules of the conversation. Only a phrase
    that confirms or chooses can be read back on its own account: a standard word that would have
    to be is asked for again.
    """
    match parsed:
        case (
            Understood(
                meaning=Stated() | Identified() | Dated() | BySecond() | Ordered(number=int())
            )
            | Ambiguous()
        ):
            least = CRITICAL_VALUE_AT if stakes.critical else VALUE_AT
            return Trust.ACT if score >= least else Trust.ASK_AGAIN
        case Understood(meaning=Ordered(word=PlainWord.STOP)):
            return Trust.ACT if score >= STOP_AT else Trust.ASK_AGAIN
        case Understood(meaning=meaning):
            severe = stakes.confusable or (stakes.critical and isinstance(meaning, Confirmed))
            thresholds = STATE if severe else PHRASE
            if score >= thresholds.act_from:
                return Trust.ACT
            if isinstance(meaning, Confirmed) and score >= thresholds.read_back_from:
                return Trust.READ_BACK
    return Trust.ASK_AGAIN


def is_believed(score: float, parsed: Parse, critical: bool = False) -> bool:
    """Whether a hearing by itself, outside of a conversation, would be acted on."""
    return trust(score, parsed, Stakes(critical)) is Trust.ACT
