"""How much silence ends an utterance, by what was heard. Pure.

The times are judgements, put down so that they can be argued with; what they cost and win stands in
`tests/benchmarks/RESULTS.md`, "An answer in the time that a person takes". Where one was too short,
what is said before the answer joins what was said before it (`TalkedOn`). What takes it back under
the answer makes the work wait, but is heard only where the headset keeps the tool's voice out of
the microphone. Where it does not, what moves the work on is waited for longer than what changes
nothing, and longer than a value, which is read back and waits for "affirm" in any case.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from handsfree.engine.trust import is_believed
from handsfree.hearing.agreement import as_words
from handsfree.hearing.live.pace import Pace
from handsfree.hearing.meant import waits_or_asks
from handsfree.words.heard import EndRule, Heard
from handsfree.words.meanings import (
    BySecond,
    Dated,
    Identified,
    Stated,
    Understood,
    only_waits,
)
from handsfree.words.phrases import PhraseSet
from handsfree.words.rest import Rest, rest_of

# A hearing that is believed by a word's own threshold can still be the beginning of something else.
# What ends an utterance early must be beyond doubt.
_BEYOND_DOUBT = 0.9


@dataclass(frozen=True, slots=True)
class Wait:
    """How much silence ends an utterance, in frames, and by which rule."""

    silence: int
    rule: EndRule


# Frames of 32 ms, counted from the last one that the detector took for voice: it still does so some
# 100 ms after the last sound (22 answers of the demo's technician at 20 dB: 56 to 136 ms).
WAITS: Mapping[Rest, Wait] = {
    # 0.1 s, so 0.2 s from the last sound. Between people the gap is about 0.2 s (Stivers et al.
    # 2009, PNAS 106:10587). The closure of a "t" or a "k" lasts some 0.1 s. All that could follow
    # would take it back, and there is nothing yet that would have to be undone: see `MOVES_ON`.
    Rest.NOTHING: Wait(3, EndRule.NOTHING_LEFT),
    # 0.38 s. A unit that is said follows its figures at once: it is one breath. Where it comes
    # later and is another one than the gauge has, it joins, or the read back names the unit.
    Rest.UNIT: Wait(12, EndRule.ALL_FIGURES),
    # 0.83 s. With less, strings of figures were cut in two (RESULTS.md, "Live").
    Rest.MORE: Wait(26, EndRule.MORE_POSSIBLE),
    # 2 s. Whoever has said half a value looks at the gauge, or thinks. A person who is asked then
    # is interrupted; one who is not has a value cut in two.
    Rest.LIKELY_MORE: Wait(62, EndRule.NOT_ALL),
    Rest.BEGUN: Wait(62, EndRule.NOT_ALL),
}
# 0.83 s. What was not heard surely is asked about, and nobody is asked while they still speak.
DOUBTFUL = Wait(26, EndRule.DOUBTFUL)
# 0.38 s at least, which is half a second from the last sound, for what moves the work on though
# nothing can follow, such as "affirm", where nobody is heard over the answer: whoever has said the
# wrong word notices it, and takes it back in one breath.
MOVES_ON = Wait(12, EndRule.NOTHING_LEFT)
_BY_PACE = frozenset({EndRule.ALL_FIGURES, EndRule.MORE_POSSIBLE, EndRule.NOT_ALL})


def wait_after(
    heard: Heard,
    phrases: PhraseSet,
    pace: Pace,
    waits: Mapping[Rest, Wait] = WAITS,
    *,
    hears_over: bool = False,
) -> Wait:
    """How much silence ends an utterance of which this is heard so far.

    `hears_over`: whether it can still be taken back over the tool's answer.
    """
    rest = rest_of(heard.words, phrases)
    parsed = phrases.parse(heard.words)
    if rest is None or not (
        isinstance(parsed, Understood)
        and heard.score >= _BEYOND_DOUBT
        and is_believed(heard.score, parsed, phrases.critical)
    ):
        return _in_doubt(heard, phrases, pace, waits)
    wait = _at_pace(waits[rest], pace)
    least = _least(parsed, critical=phrases.critical, hears_over=hears_over)
    return wait if wait.silence >= least else Wait(least, wait.rule)


def _least(parsed: Understood, *, critical: bool, hears_over: bool) -> int:
    """The silence that is left in any case to take back what was said, in frames."""
    if waits_or_asks(parsed):
        return 0
    if critical:  # a wrong answer can kill there
        return DOUBTFUL.silence
    is_read_back = isinstance(parsed.meaning, Stated | Identified | Dated | BySecond)
    return 0 if is_read_back or hears_over else MOVES_ON.silence


def _at_pace(wait: Wait, pace: Pace) -> Wait:
    if wait.rule not in _BY_PACE:
        return wait
    return Wait(round(wait.silence * pace.times), wait.rule)


def _in_doubt(heard: Heard, phrases: PhraseSet, pace: Pace, waits: Mapping[Rest, Wait]) -> Wait:
    """What was only begun is bent into a whole phrase, but is written freely as it was said.

    To wait is heeded as soon as it is believed, whatever else may have been begun.
    """
    parsed = phrases.parse(heard.words)
    if only_waits(parsed) and is_believed(heard.score, parsed):
        return DOUBTFUL
    for opinion in heard.opinions:
        if phrases.standing(as_words(opinion.free_text)).is_begun:
            return _at_pace(waits[Rest.BEGUN], pace)
    return DOUBTFUL
