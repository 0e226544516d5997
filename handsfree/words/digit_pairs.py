"""Numbers said in pairs of digits, "fifty two nineteen": the words that can be two numbers."""

from handsfree.words.automaton import Arc, Automaton
from handsfree.words.number_words import DIGIT_WORDS, TEEN_WORDS, TENS_WORDS

PAIRS = "pairs"
"""The mark of a number that was said so."""


def digit_pairs(shortest: int) -> Automaton:
    """Figures of which some are said in twos, at least `shortest` items, marked `PAIRS`.

    A state is (items so far up to `shortest`, a pair was said, the last item was a bare tens
    word). After a bare tens word no unit may follow: it would have bound to it.
    """
    numbers: dict[tuple[object, ...], int] = {}
    table: list[list[Arc]] = []
    todo: list[tuple[int, bool, bool]] = []

    def state(items: int, paired: bool, bare: bool) -> int:
        key = (min(items, shortest), paired, bare)
        if key not in numbers:
            numbers[key] = len(table)
            table.append([])
            todo.append(key)
        return numbers[key]

    def new_state() -> int:
        table.append([])
        return len(table) - 1

    state(0, False, False)
    while todo:
        items, paired, bare = todo.pop()
        here = table[numbers[(items, paired, bare)]]
        mark = () if paired else (PAIRS,)
        for figure, spellings in DIGIT_WORDS.items():
            if bare and figure != "0":
                continue
            here.extend(Arc(each, (figure,), state(items + 1, paired, False)) for each in spellings)
        for figures, spelling in TEEN_WORDS.items():
            here.append(Arc(spelling, (*mark, figures), state(items + 1, True, False)))
        for figure, spelling in TENS_WORDS.items():
            here.append(Arc(spelling, (*mark, figure + "0"), state(items + 1, True, True)))
            within = new_state()
            here.append(Arc(spelling, (*mark, figure), within))
            table[within].extend(
                Arc(each, (unit,), state(items + 1, True, False))
                for unit, spellings in DIGIT_WORDS.items()
                if unit != "0"
                for each in spellings
            )
    finals = {
        number for (items, paired, *_), number in numbers.items() if items == shortest and paired
    }
    return Automaton(tuple(tuple(arcs) for arcs in table), frozenset(finals))
