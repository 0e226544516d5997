"""Sound as a microphone would give it: gaps, utterances and noise. Nothing here is random twice."""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from demo.noise import hangar_noise
from handsfree.hearing.audio import SAMPLE_RATE, Samples
from tests.benchmarks.live.onsets import first_word, last_sound
from tests.benchmarks.speech import Clip, audio_of

SEED = 20261126
SPEECH_DBFS = -26.0  # of the active speech: a usual level for headsets (common practice, no source)
SPEECH_RMS = 10 ** (SPEECH_DBFS / 20) / np.sqrt(2)


@dataclass(frozen=True, slots=True)
class Uttered:
    """Where an utterance lies in a stream, in samples."""

    clip: Clip
    onset: int  # of the first word, see `onsets.first_word`
    offset: int  # see `onsets.last_sound`


def stream(
    clips: Sequence[Clip], snr_db: float | None, rng: np.random.Generator
) -> Iterator[tuple[Samples, Uttered | None]]:
    """Gaps and clips in turn, with hangar noise at `snr_db` through all; None: -70 dB FS of hiss.

    Gaps last 1 to 3 s. Positions are within each piece. A clip that cannot be aligned is left out,
    and named on stderr.
    """
    for clip in clips:
        samples = audio_of(clip).samples
        onset, offset = first_word(samples, clip.words), last_sound(samples)
        if onset is None:
            print(f"{clip.path.name}: not aligned, left out", file=sys.stderr)
            continue
        level = np.sqrt(np.mean(samples[onset:offset].astype(np.float64) ** 2))
        before, after = (round(x * SAMPLE_RATE) for x in rng.uniform((0.5, 0.5), (1.5, 1.5)))
        piece = np.concatenate(
            [np.zeros(before), samples * (SPEECH_RMS / level), np.zeros(after)]
        ).astype(np.float32)
        piece += noise_at(len(piece), snr_db, rng)
        yield np.clip(piece, -1, 1), Uttered(clip, before + onset, before + offset)


def noise_at(length: int, snr_db: float | None, rng: np.random.Generator) -> Samples:
    """`length` samples of hangar noise at `snr_db` below speech; None: of faint hiss."""
    if snr_db is None:
        return np.asarray(10 ** (-70 / 20) * rng.standard_normal(length), np.float32)
    noise = hangar_noise(length / SAMPLE_RATE, rng)[:length]
    level = float(np.sqrt(np.mean(noise.astype(np.float64) ** 2)))
    scaled = noise * np.float32(SPEECH_RMS / 10 ** (snr_db / 20) / level)
    return np.pad(scaled, (0, length - len(scaled)))


def for_minutes(
    pieces: Iterator[tuple[Samples, Uttered | None]], minutes: float
) -> Iterator[tuple[Samples, Uttered | None]]:
    """So many pieces that together they last `minutes`."""
    length = 0
    for piece in pieces:
        if length >= minutes * 60 * SAMPLE_RATE:
            return
        length += len(piece[0])
        yield piece
