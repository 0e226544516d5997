"""A statement that corrects itself, or is taken back.

"Gauge two niner, correction, three zero five zero": a value can be corrected where it is said. The
last value counts, and those before it are kept. Only the word "correction" opens this. "Sorry" and
other everyday words do not: after them nothing of the utterance counts, see `everyday.TAKES_BACK`.
"""

from functools import cache

from handsfree.words.automaton import Automaton, choice, optional, resumed, sequence, word
from handsfree.words.everyday import takes_back

CORRECTION = "correction"
"""The mark of the word, between the values that it parts."""
TAKEN_BACK = "taken back"
"""The mark of words after which nothing counts."""
CORRECTION_REASON = "a correction needs the value after it"


def apart(marks: tuple[str, ...], mark: str) -> list[tuple[str, ...]]:
    """The marks before each `mark`, and after the last one; a part can be empty."""
    parts: list[tuple[str, ...]] = [()]
    for each in marks:
        if each == mark:
            parts.append(())
        else:
            parts[-1] = (*parts[-1], each)
    return parts


def corrected() -> Automaton:
    """The word first, or nothing: what corrects a value that was said before."""
    return optional(word(CORRECTION, CORRECTION))


def correctable(statement: Automaton) -> Automaton:
    """`statement`, once more after each "correction", which may also come first or last.

    So may words that take it back; before it also "not" and "no".
    """
    opened = optional(choice(word(CORRECTION, CORRECTION), _taken_back()))
    again = choice(word(CORRECTION, CORRECTION), takes_back(TAKEN_BACK))
    return sequence(opened, resumed(statement, again))


@cache
def _taken_back() -> Automaton:
    return choice(takes_back(TAKEN_BACK), word("not", TAKEN_BACK), word("no", TAKEN_BACK))
