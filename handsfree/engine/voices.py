"""How well each person has been heard in this run, as far as they have said so.

Each "affirm" after a read back says that a hearing was right, each "negative" or "correction" that
it was not. Counted for each person, with a Beta distribution before anything is known (conjugate to
the Bernoulli distribution: A. Gelman et al., Bayesian Data Analysis, 2.1), they tell how often a
believed hearing of this person is wrong. Where that is more than what the score was fitted on, the
odds of each further score are corrected by the ratio of the two

    odds' = odds * ((1 - e) / e) / ((1 - e0) / e0)

after M. Saerens et al., Adjusting the Outputs of a Classifier to New a Priori Probabilities, Neural
Computation 14(1), 2002, eq. 2.4. (Both sources from memory.) Where it is less, nothing changes: a
run of luck is no reason to believe on less.

Who corrects what was heard right, having misread the gauge, counts as misheard: that asks for more.
"""

from dataclasses import dataclass, replace
from fractions import Fraction

# Beta(49, 1): one believed hearing of fifty wrong, as if fifty had been seen. Of the people that
# the score was fitted on fewer are (0.8 % to 10 dB), of strangers more (1 to 4 %). Judgement.
RIGHT_BEFORE, WRONG_BEFORE = 49, 1
BEFORE = Fraction(WRONG_BEFORE, RIGHT_BEFORE + WRONG_BEFORE)

# So many misheard of the last so many, and the person is told how to be heard better.
BADLY_HEARD, OF_THE_LAST = 3, 10


@dataclass(frozen=True, slots=True)
class Voice:
    """What is known of how one person is heard."""

    right: int = 0  # hearings that were affirmed, or were known to be right
    wrong: int = 0  # those taken back or corrected, or known to be wrong
    last: tuple[bool, ...] = ()  # the last ten of them, the newest last; true: it was right
    told: bool = False  # that they are heard badly, which is said once

    @property
    def share_wrong(self) -> Fraction:
        """The mean of the Beta distribution: how often a believed hearing is wrong."""
        wrong, right = WRONG_BEFORE + self.wrong, RIGHT_BEFORE + self.right
        return Fraction(wrong, wrong + right)

    @property
    def is_badly_heard(self) -> bool:
        """Whether three of the last ten, or of fewer, were misheard."""
        return self.last.count(False) >= BADLY_HEARD

    def counted(self, right: bool) -> "Voice":
        """One hearing more."""
        last = (*self.last, right)[-OF_THE_LAST:]
        return replace(self, right=self.right + right, wrong=self.wrong + (not right), last=last)

    def corrected(self, score: float) -> float:
        """`score` for this voice, 0 to 1: never higher than it is."""
        wrong = max(self.share_wrong, BEFORE)
        ratio = ((1 - wrong) / wrong) / ((1 - BEFORE) / BEFORE)
        if score >= 1 or ratio == 1:
            return score
        odds = Fraction(score) / (1 - Fraction(score)) * ratio
        return min(score, float(odds / (1 + odds)))


@dataclass(frozen=True, slots=True)
class Voices:
    """Everybody who has been heard, by who they are: a staff number, or the role of the headset."""

    of: tuple[tuple[str, Voice], ...] = ()

    def voice(self, person: str) -> Voice:
        """How `person` has been heard so far."""
        return dict(self.of).get(person, Voice())

    def with_voice(self, person: str, voice: Voice) -> "Voices":
        """All voices, with what is known of `person` now."""
        others = tuple(each for each in self.of if each[0] != person)
        return Voices((*others, (person, voice)))

    def identified(self, role: str, number: str) -> "Voices":
        """All voices, once it is known who has a role: what was heard of the role is theirs.

        Unless they were heard under their own number before: then that is what is known of them.
        """
        unknown = dict(self.of).get(role)
        others = Voices(tuple(each for each in self.of if each[0] != role))
        if unknown is None or number in dict(self.of):
            return others
        return others.with_voice(number, unknown)

    @staticmethod
    def heard_before(checked: "tuple[tuple[str, tuple[bool, ...]], ...]") -> "Voices":
        """What a sound check before the run has told, by role: whether each hearing was right."""
        voices = Voices()
        for role, right in checked:
            voice = Voice()
            for each in right:
                voice = voice.counted(each)
            voices = voices.with_voice(role, voice)
        return voices
