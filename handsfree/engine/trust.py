"""When a hearing is believed. The numbers of the policy stand here and nowhere else.

A threshold follows from what a mistake costs: acting on a wrong hearing being c times as bad as
asking again, a hearing is believed from a probability of c / (1 + c). Both were checked on the
tuning half of the speakers, where `tests/benchmarks/fit_score.py` prints what each threshold costs.
"""

from handsfree.words.meanings import Ambiguous, Identified, Parse, Stated, Understood

# A value is read back and acted on only after "affirm", so a wrong one has a second chance to be
# caught; but who is used to being heard right says "affirm" without listening. c = 9.
VALUE_AT = 0.9
# A phrase moves the task at once and is echoed. It must be one of a few known ones: of 467 hearings
# on the tuning half, most of them of phrases altered by one word, 3 were wrong and above this, and
# 2 above 0.95. c = 4.
PHRASE_AT = 0.8

# After so many doubtful hearings in a row the step waits instead of asking on and on.
MOST_DOUBTS = 3


def is_believed(score: float, parsed: Parse) -> bool:
    """Whether a hearing with this score and meaning is acted on; else it is asked for again."""
    match parsed:
        case Understood(meaning=Stated() | Identified()) | Ambiguous():
            return score >= VALUE_AT
        case Understood():
            return score >= PHRASE_AT
    return False
