"""What is made of sound that is broken: `python -m tests.benchmarks.bad_input`.

A hundred readings of each kind, by people of the reporting half of AN4, as plain numbers. None may
be believed. Prints a Markdown table; about 2 minutes on 2 cores.
"""

import argparse
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import timedelta

import numpy as np
import soxr
from rich.console import Console
from rich.progress import track

from handsfree.engine.trust import is_believed
from handsfree.hearing.agreement import says_the_same
from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.opening import open_recognizer
from tests.benchmarks.situations import NUMBER
from tests.benchmarks.speech import REPORTING, Clip, an4_clips, audio_of

_CLIPS = 100
Spoil = Callable[[Samples, Samples, np.random.Generator], Samples]


def _played(speed: float) -> Spoil:
    return lambda own, _other, _rng: np.asarray(
        soxr.resample(own, SAMPLE_RATE * speed, SAMPLE_RATE), np.float32
    )


def _clipped(own: Samples, _other: Samples, _rng: np.random.Generator) -> Samples:
    return np.asarray(np.clip(own / np.quantile(np.abs(own), 0.9), -1, 1), np.float32)


def _samples_lost(own: Samples, _other: Samples, rng: np.random.Generator) -> Samples:
    return np.where(rng.random(len(own)) < 0.1, np.float32(0), own)


def _samples_left_out(own: Samples, _other: Samples, rng: np.random.Generator) -> Samples:
    return own[rng.random(len(own)) >= 0.1]


def _packets_lost(own: Samples, _other: Samples, rng: np.random.Generator) -> Samples:
    lost = rng.random(len(own) // 320 + 1) < 0.1
    return np.where(np.repeat(lost, 320)[: len(own)], np.float32(0), own)


def _two_at_once(own: Samples, other: Samples, _rng: np.random.Generator) -> Samples:
    """Both as loud; the second begins with the first."""
    both = np.zeros(max(len(own), len(other)), np.float32)
    for each in (own, other):
        both[: len(each)] += each / np.sqrt(np.mean(each**2))
    return np.asarray(0.5 * both / np.abs(both).max(), np.float32)


def _last_word_cut(own: Samples, _other: Samples, rng: np.random.Generator) -> Samples:
    """60 to 200 ms off the last sound that is within 25 dB of the loudest."""
    frames = len(own) // 320
    level = np.square(own[: frames * 320]).reshape(frames, 320).mean(axis=1)
    end = (int(np.flatnonzero(level > level.max() / 10**2.5)[-1]) + 1) * 320
    return own[: end - round(rng.uniform(0.06, 0.2) * SAMPLE_RATE)]


KINDS: dict[str, Spoil] = {
    "played at twice the rate": _played(2.0),
    "played at half the rate": _played(0.5),
    "clipped at every peak": _clipped,
    "10 % of the samples lost": _samples_lost,
    "10 % of the samples left out": _samples_left_out,
    "10 % of the packets of 20 ms lost": _packets_lost,
    "two people at once": _two_at_once,
    "cut within the last word": _last_word_cut,
}


def table(number: int, kinds: list[str]) -> Iterator[str]:
    """Markdown: what became of `number` clips of each kind."""
    recognizer = open_recognizer()
    clips = [clip for clip in an4_clips("reading") if clip.half == REPORTING][:number]
    yield "| sound | readings | believed, right | believed, wrong | reason told |"
    yield "|" + " --- |" * 5
    for kind in kinds:
        spoil = KINDS[kind]
        rng = np.random.default_rng(5)
        right = wrong = 0
        reasons = Counter[str]()
        for at, clip in enumerate(track(clips, kind, console=Console(stderr=True), transient=True)):
            sound = spoil(audio_of(clip).samples, _other_than(clips, at), rng)
            heard = recognizer.recognize(Audio(sound, timedelta(0)), NUMBER)
            if is_believed(heard.score, NUMBER.parse(heard.words)):
                is_right = says_the_same(heard.words, " ".join(clip.words))
                right, wrong = right + is_right, wrong + (not is_right)
            elif heard.trouble is not None:
                reasons[heard.trouble.value] += 1
        told = ", ".join(f"{reason} {count}" for reason, count in reasons.most_common())
        yield f"| {kind} | {len(clips)} | {right} | {wrong} | {told or '-'} |"


def _other_than(clips: list[Clip], at: int) -> Samples:
    """A reading by somebody else."""
    other = next(
        each
        for each in (*clips[at + 1 :], *clips)
        if each.speaker != clips[at].speaker and each.words != clips[at].words
    )
    return audio_of(other).samples


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.bad_input")
    parser.add_argument("--clips", type=int, default=_CLIPS)
    parser.add_argument("--kind", choices=KINDS, nargs="*", default=list(KINDS))
    chosen = parser.parse_args()
    for line in table(chosen.clips, chosen.kind):
        print(line, flush=True)


if __name__ == "__main__":
    main()
