"""Whether a rehearsal shows what its task wants: the verdict, with the bias of its voices in it."""

from dataclasses import dataclass
from enum import Enum

from handsfree.rehearse import bias
from handsfree.rehearse.intervals import Count, Interval, Verdict, runs_needed, verdict
from handsfree.rehearse.report import Rehearsal
from handsfree.task.hearing_bound import HearingBound


class Speech(Enum):
    """Whose voices were heard."""

    SYNTHETIC = "synthetic voices"
    RECORDED = "recordings of people"


@dataclass(frozen=True, slots=True)
class Standing:
    """How a bound stands by what one kind of voice has shown."""

    speech: Speech
    verdict: Verdict
    count: Count  # accepted wrong, of all that was said at that ratio
    interval: Interval  # for people at work: with the bias, where the voices are synthetic
    more_runs: int | None  # that would show it, if no more go wrong; None: no number would
    other_words: int = 0  # recordings that were left out, and may have been misheard

    def describe(self, bound: HearingBound) -> str:
        """The verdict as a sentence."""
        shown = (
            f"{self.verdict.value}: {self.count.times} of {self.count.of} accepted wrong, so "
            f"{percent(self.interval.low)} to {percent(self.interval.high)}, and "
            f"{percent(float(bound.wrong_below))} is the bound"
        )
        if self.verdict is not Verdict.TOO_FEW:
            return shown
        if self.other_words:
            return (
                f"{shown}. Left out were {self.other_words} recordings in which other words were "
                "heard, and they may have been misheard: name them by what is said in them, or "
                "record them again"
            )
        if self.more_runs is None:
            return (
                f"{shown}. No number of synthetic voices can show it, for real people may be heard "
                "worse by more than that: rehearse with recordings of your team"
            )
        return f"{shown}. It takes {self.more_runs:,} sayings in all, if no more are wrong"


def standings(rehearsal: Rehearsal, bound: HearingBound) -> tuple[Standing, ...]:
    """How the bound stands; recordings of people first, for they count most. Empty: not rehearsed.

    One whose ratio was not rehearsed has no standing.
    """
    snr_db = float(bound.at_snr)
    found = []
    for speech, recorded in ((Speech.RECORDED, True), (Speech.SYNTHETIC, False)):
        results = rehearsal.results_at(snr_db, recorded=recorded)
        other_words = rehearsal.other_words if recorded else 0
        if results.of or other_words:
            found.append(_standing(speech, results.count("wrong"), bound, other_words))
    return tuple(found)


def holds(rehearsal: Rehearsal, bound: HearingBound) -> bool:
    """Whether one kind of voice shows the bound, and none shows the contrary.

    A recording in which other words were heard may be the contrary, so with one it never holds.
    """
    verdicts = [each.verdict for each in standings(rehearsal, bound)]
    if rehearsal.other_words:
        return False
    return Verdict.HOLDS in verdicts and Verdict.DOES_NOT_HOLD not in verdicts


def _standing(speech: Speech, count: Count, bound: HearingBound, other_words: int) -> Standing:
    below, snr_db = float(bound.wrong_below), float(bound.at_snr)
    synthetic = speech is Speech.SYNTHETIC
    interval = bias.widened(count, "wrong", snr_db) if synthetic else count.interval
    found = verdict(interval, below)
    if found is Verdict.HOLDS and other_words:
        found = Verdict.TOO_FEW
    # The bias stays, however many runs there are: what is left of the bound is for the count.
    worse = bias.measured_bias().difference("wrong", snr_db).high if synthetic else 0.0
    left = below - max(0.0, worse)
    more = runs_needed(left, count.times) if 0 < left < 1 else None
    return Standing(speech, found, count, interval, more, other_words)


def percent(share: float) -> str:
    """A share for a person to read: two figures that count."""
    return f"{share * 100:.2g} %" if share < 0.0995 else f"{share * 100:.0f} %"
