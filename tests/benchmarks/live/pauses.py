"""Utterances with pauses in them: whether they are cut in two, and what is believed of that."""

import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import cycle

import numpy as np
from rich.console import Console
from rich.progress import track

from handsfree.engine.trust import is_believed
from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.hearing.live.endpoint import Rules
from handsfree.hearing.live.waits import WAITS, Wait
from handsfree.hearing.opening import open_recognizer
from handsfree.hearing.recognizer import Recognizer
from handsfree.running.parts import Utterance
from handsfree.words.awaited import Scale
from handsfree.words.heard import EndRule
from handsfree.words.meanings import Stated, Understood
from handsfree.words.phrases import Phrase, PhraseSet, Reading, Standard
from handsfree.words.rest import Rest
from handsfree.words.standard import StandardWord
from tests.benchmarks.live.as_before import RULES, WAITS_BEFORE
from tests.benchmarks.live.ears import Once, ear_at_once
from tests.benchmarks.live.onsets import last_sound, spoken_words
from tests.benchmarks.live.streams import SEED, SPEECH_RMS, noise_at
from tests.benchmarks.speech import Clip, audio_of

_UTTERANCES = 300
_SHORTEST_S, _LONGEST_S = 0.2, 0.9
_BEHIND_S = 3.5  # longer than any wait
_PHRASES: tuple[Phrase, ...] = (
    Reading(("pressure",), "psi", digit_pairs=True),
    *map(Standard, StandardWord),
)


@dataclass(frozen=True, slots=True)
class _Spoken:
    sound: Samples
    value: Stated
    phrases: PhraseSet


def pauses(clips: Sequence[Clip]) -> None:
    """Strings of figures with a pause or two of 200 to 900 ms, before and now, clean and noisy."""
    recognizer = open_recognizer()
    print(
        "| listening | noise | utterances | cut in two | believed and not the value "
        "| asked for as not all | silence to the end ms median | p95 |"
    )
    print("|" + " --- |" * 8)
    for snr_db in (None, 20.0):
        spoken = _spoken([each for each in clips if each.kind == "reading"], snr_db)
        for name, rules, waits in (("before", RULES, WAITS_BEFORE), ("now", Rules(), WAITS)):
            found = [
                _heard(each, recognizer, rules, waits)
                for each in track(spoken, name, console=Console(stderr=True), transient=True)
            ]
            cut = sum(len(each) > 1 for each in found)
            wrong = sum(
                _is_wrong(one, each)
                for each, ones in zip(spoken, found, strict=True)
                for one in ones
            )
            asked = sum(_rule(one) is EndRule.NOT_ALL for ones in found for one in ones)
            ms = [_after_ms(ones[-1]) for ones in found if ones]
            print(
                f"| {name} | {'none' if snr_db is None else f'hangar, {snr_db:.0f} dB'} "
                f"| {len(spoken)} | {cut} | {wrong} | {asked} | {statistics.median(ms):.0f} "
                f"| {statistics.quantiles(ms, n=20)[-1]:.0f} |",
                flush=True,
            )


def _spoken(clips: Sequence[Clip], snr_db: float | None) -> list[_Spoken]:
    rng = np.random.default_rng(SEED)
    found: list[_Spoken] = []
    for clip in cycle(clips):
        if len(found) == _UTTERANCES:
            break
        one = _with_pauses(clip, snr_db, rng)
        if one is not None:
            found.append(one)
    return found


def _with_pauses(clip: Clip, snr_db: float | None, rng: np.random.Generator) -> _Spoken | None:
    """None for a lone word, and for what is no number by itself."""
    parsed = PhraseSet(_PHRASES).parse(clip.words)
    if len(clip.words) < 2 or not isinstance(parsed, Understood):
        return None
    samples = audio_of(clip).samples
    words = spoken_words(samples, clip.words)
    if len(words) != len(clip.words) or not isinstance(parsed.meaning, Stated):
        return None
    level = np.sqrt(np.mean(samples[words[0][0] : words[-1][1]].astype(np.float64) ** 2))
    samples = np.asarray(samples * (SPEECH_RMS / level), np.float32)
    number = int(rng.integers(1, min(2, len(words) - 1) + 1))
    behind = sorted(rng.choice(len(words) - 1, size=number, replace=False).tolist())
    # In the middle between the end of a word and the beginning of the next one.
    places = [(words[at][1] + words[at + 1][0]) // 2 for at in behind]
    pieces: list[Samples] = [np.zeros(SAMPLE_RATE, np.float32)]
    before = 0
    for place in places:
        gap = np.zeros(round(float(rng.uniform(_SHORTEST_S, _LONGEST_S)) * SAMPLE_RATE), np.float32)
        pieces += [samples[before:place], gap]
        before = place
    pieces += [
        samples[before : last_sound(samples)],
        np.zeros(round(_BEHIND_S * SAMPLE_RATE), np.float32),
    ]
    sound = np.concatenate(pieces)
    sound = np.clip(sound + noise_at(len(sound), snr_db, rng), -1, 1).astype(np.float32)
    return _Spoken(sound, parsed.meaning, PhraseSet(_PHRASES, awaited=_scale(parsed.meaning)))


def _scale(stated: Stated) -> Scale | None:
    """A gauge whose limits are at the value: what was read is within reach of them."""
    if not stated.value:
        return None
    step = Decimal(1).scaleb(int(stated.value.as_tuple().exponent))
    return Scale.around(step, stated.value, stated.value)


def _heard(
    spoken: _Spoken, recognizer: Recognizer, rules: Rules, waits: Mapping[Rest, Wait]
) -> list[Utterance]:
    ear = ear_at_once(Once(spoken.sound), recognizer, rules, waits)
    found = []
    while isinstance(reached := ear.hear(spoken.phrases), Utterance):
        found.append(reached)
    ear.close()
    return found


def _is_wrong(utterance: Utterance, spoken: _Spoken) -> bool:
    """Whether something is believed that is not the whole value."""
    heard = utterance.heard
    parsed = spoken.phrases.parse(heard.words)
    if _rule(utterance) is EndRule.NOT_ALL or not is_believed(heard.score, parsed):
        return False
    return not (
        isinstance(parsed, Understood)
        and isinstance(parsed.meaning, Stated)
        and parsed.meaning.value == spoken.value.value
    )


def _rule(utterance: Utterance) -> EndRule | None:
    ended_by = utterance.heard.ended_by
    return None if ended_by is None else ended_by.rule


def _after_ms(utterance: Utterance) -> float:
    ended_by = utterance.heard.ended_by
    assert ended_by is not None
    return ended_by.after.total_seconds() * 1000
