"""What several hearings of one question are worth together.

A hearing that is not believed by itself is not thrown away: when the question is asked again, what
was heard before counts. Of one meaning, heard with the probabilities s1 ... sn of being right,

    right = B mean(s) + (1 - B) s1 ... sn
    wrong = B (1 - mean(s)) + (1 - B) (1 - s1) ... (1 - sn) C^(n-1)

and with the odds o = right / wrong of each meaning that was heard, the probability of one of them
is o / (1 + the sum of all o), after Bayes, with every meaning equally likely before. The second
terms are the product rule for independent classifiers (J. Kittler et al., On Combining Classifiers,
IEEE PAMI 20(3), 1998, eq. 7); the first ones are the beta factor of common causes (K. N. Fleming,
1975; IEC 61508-6, annex D): with the probability B all hearings of a meaning have failed, or not,
for one reason, and then any number of them is worth one. (Both sources from memory.)

What is assumed to be independent is little, because it was measured. The errors of one listener at
one voice are not: a "six" that sounds like "eight" does so each time. Of three strangers' strings
of four digits, said again with other recordings of the same people, 44 of 99 doubtful and wrong
hearings were wrong in the same way in the next doubtful one; of doubtful ones that agreed, only 19
of 41 were right (`tests/benchmarks/repeats.py`). So B is taken from above that share, and then two
hearings are believed together only where each was nearly believed alone. What differs is worth
less than each alone. Two different voices would be independent; they are not counted as such here,
for which people stand at one microphone nobody knows.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import prod

from handsfree.words.meanings import BySecond, Dated, Identified, Meaning, Stated

# B for sayings in one form. Measured: 44 of 99; the upper end of the 95 % interval by Wilson's
# score is 0.54.
SAME_CAUSE = Fraction(11, 20)
# B where one of the sayings was slow, each digit by itself, as it was asked for. Measured: 11 of 66
# doubtful and wrong hearings were wrong in the same way then; upper end 0.27.
SAME_CAUSE_IN_ANOTHER_FORM = Fraction(3, 10)
# C: of wrong hearings that have nothing in common, the share that falls on the same meaning. With
# four digits some forty meanings are one digit away; with few phrases there are fewer. Judgement.
SAME_BY_CHANCE = Fraction(1, 10)


@dataclass(frozen=True, slots=True)
class Saying:
    """One hearing of a question that was not believed by itself."""

    meaning: Meaning  # see `compared`
    score: float  # P(the words are what was said)
    form: int  # in which form it had been asked for; one who says each digit speaks otherwise


def compared(meaning: Meaning) -> Meaning:
    """What two sayings are compared by: the same value, said as a correction or not, is one."""
    match meaning:
        case Stated(figures=figures, unit=unit, twice=twice):
            return Stated(figures, unit, twice=twice)
        case Identified(characters=characters):
            return Identified(characters)
        case Dated(iso=iso):
            return Dated(iso)
        case BySecond(stated=Stated(figures=figures, unit=unit, twice=twice)):
            return BySecond(Stated(figures, unit, twice=twice))
        case BySecond(stated=Identified(characters=characters)):
            return BySecond(Identified(characters))
    return meaning


def agrees(one: Meaning, other: Meaning) -> bool:
    """Whether two sayings mean the same. A unit that only one of them names makes no difference."""
    match compared(one), compared(other):
        case Stated() as first, Stated() as second:
            return _same_value(first, second)
        case BySecond(stated=Stated() as first), BySecond(stated=Stated() as second):
            return _same_value(first, second)
        case first, second:
            return first == second


def _same_value(first: Stated, second: Stated) -> bool:
    units = {first.unit, second.unit} - {None}
    return first.figures == second.figures and len(units) <= 1


def belief(sayings: Sequence[Saying], meaning: Meaning) -> float:
    """P(`meaning` is what was said each time), 0 to 1; 0 where it was never heard.

    A saying that agrees never takes belief away, however low its score: where the few that are
    surest say more than all together, they count.
    """
    groups: list[list[Saying]] = []
    for saying in sayings:
        for group in groups:
            if agrees(group[0].meaning, saying.meaning):
                group.append(saying)
                break
        else:
            groups.append([saying])
    own = next((each for each in groups if agrees(each[0].meaning, meaning)), None)
    if own is None:
        return 0.0
    odds = sum(_odds(each) for each in groups)
    return float(_odds(own) / (1 + odds))


def _odds(group: Iterable[Saying]) -> Fraction:
    """The odds of one meaning by its own sayings: the best that any choice of them gives.

    A choice takes some of each form, the surest first. So one saying more, in whatever form, can
    only add choices, and never makes the best of them worse.
    """
    by_form: dict[int, list[Saying]] = {}
    for each in sorted(group, key=lambda each: -each.score):
        by_form.setdefault(each.form, []).append(each)
    numbers = product(*(range(len(each) + 1) for each in by_form.values()))
    return max(
        _odds_together(
            [
                saying
                for number, sayings in zip(chosen, by_form.values(), strict=True)
                for saying in sayings[:number]
            ]
        )
        for chosen in numbers
        if any(chosen)
    )


def _odds_together(group: Sequence[Saying]) -> Fraction:
    scores = [min(Fraction(each.score), _SUREST) for each in group]
    forms = len({each.form for each in group})
    common = SAME_CAUSE if forms == 1 else SAME_CAUSE_IN_ANOTHER_FORM
    mean = sum(scores, Fraction(0)) / len(scores)
    by_chance = prod([SAME_BY_CHANCE] * (len(scores) - 1), start=Fraction(1))
    all_right = prod(scores, start=Fraction(1))
    all_wrong = prod((1 - each for each in scores), start=Fraction(1))
    right = common * mean + (1 - common) * all_right
    wrong = common * (1 - mean) + (1 - common) * all_wrong * by_chance
    return right / wrong


# No saying is beyond every doubt, else nothing that differs could be weighed against it.
_SUREST = Fraction(999_999, 1_000_000)
