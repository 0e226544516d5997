"""Recorded speech to measure with: the clips, the split by speaker, and seeded noise.

The recordings are not part of the project. They are found where HANDSFREE_SPEECH points, else in
`../shared/data` beside the checkout; see the README there for what they are and their licences.
"""

import csv
import hashlib
import os
import random
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

import numpy as np

from handsfree.acoustics import noises
from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.clips import read_clip

TUNING, REPORTING = "tuning", "reporting"
NOISE_SEED = 20260801
NOISE_LEVELS_DB = (None, 20, 15, 10, 5)  # None: as recorded

_WIDEST_GAP_S = 0.4
_BLOWS_A_SECOND = 3

_REPOSITORY = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Clip:
    """One recording and what is said in it."""

    path: Path
    speaker: str
    kind: str  # reading, command, spelled, other; word for the single-word set; digits
    words: tuple[str, ...]
    # Gaps in seconds, and the recordings behind them, where one utterance is joined from several.
    joined: tuple[tuple[float, Path], ...] = ()

    @property
    def half(self) -> str:
        """The half of the speakers that this one belongs to."""
        return half(self.speaker)


def half(speaker: str) -> str:
    """Whether figures about `speaker` are for tuning with or for reporting.

    By a hash of the name, so that every script and every model splits alike.
    """
    digest = hashlib.sha256(f"handsfree:{speaker}".encode()).digest()
    return REPORTING if digest[0] % 2 else TUNING


def speech_folder() -> Path:
    """Where the recordings are, whether or not they exist."""
    return Path(os.environ.get("HANDSFREE_SPEECH", _REPOSITORY.parent / "shared" / "data"))


def an4_clips(*kinds: str) -> tuple[Clip, ...]:
    """The AN4 clips of `kinds`, in the order of the list; FileNotFoundError without the corpus."""
    folder = speech_folder() / "an4"
    with (folder / "clips.csv").open(encoding="utf-8", newline="") as table:
        return tuple(
            Clip(
                folder / "clips" / row["clip"],
                row["speaker"],
                row["kind"],
                tuple(row["transcript"].split()),
            )
            for row in csv.DictReader(table)
            if row["kind"] in kinds
        )


def single_words() -> tuple[Clip, ...]:
    """The clips of single words by other people; FileNotFoundError without them."""
    folder = speech_folder() / "words"
    with (folder / "clips.csv").open(encoding="utf-8", newline="") as table:
        return tuple(
            Clip(folder / "clips" / row["clip"], row["speaker"], "word", (row["word"],))
            for row in csv.DictReader(table)
        )


def lone_digits(every: int = 1) -> tuple[Clip, ...]:
    """Single digits by three strangers at 8 kHz, each nth; FileNotFoundError without them."""
    folder = speech_folder() / "digits"
    with (folder / "clips.csv").open(encoding="utf-8", newline="") as table:
        rows = sorted(csv.DictReader(table), key=lambda row: (row["speaker"], row["clip"]))
    return tuple(
        Clip(folder / "clips" / row["clip"], row["speaker"], "digits", (row["word"],))
        for row in rows[::every]
    )


def digit_strings(each: int = 40, length: int = 4) -> tuple[Clip, ...]:
    """For each of the three strangers `each` strings of `length` digits, 0 to 400 ms apart.

    Equal arguments give equal strings. The recordings are trimmed close, so a string begins and
    ends in its voice.
    """
    of_speaker: dict[str, list[Clip]] = {}
    for clip in lone_digits():
        of_speaker.setdefault(clip.speaker, []).append(clip)
    strings = []
    for speaker, clips in of_speaker.items():
        draw = random.Random(f"{NOISE_SEED}:{speaker}")
        for _ in range(each):
            first, *others = draw.choices(clips, k=length)
            gaps = [draw.uniform(0, _WIDEST_GAP_S) for _ in others]
            behind = tuple(zip(gaps, (other.path for other in others), strict=True))
            words = tuple(word for clip in (first, *others) for word in clip.words)
            strings.append(Clip(first.path, speaker, "digits", words, behind))
    return tuple(strings)


def audio_of(clip: Clip, snr_db: float | None = None) -> Audio:
    """The clip as recorded, or with pink noise at `snr_db`, the same noise on every run."""
    clean = _joined(clip)
    if snr_db is None:
        return clean
    name = ":".join(each.name for each in (clip.path, *(path for _, path in clip.joined)))
    seed = hashlib.sha256(f"{NOISE_SEED}:{name}:{snr_db}".encode()).digest()
    noise = pink_noise(len(clean.samples), int.from_bytes(seed[:8]))
    return Audio(mixed(clean.samples, noise, snr_db), clean.started)


def _joined(clip: Clip) -> Audio:
    pieces = [read_clip(clip.path).samples]
    for gap_s, path in clip.joined:
        pieces += [np.zeros(round(gap_s * SAMPLE_RATE), np.float32), read_clip(path).samples]
    return Audio(np.concatenate(pieces), timedelta(0))


def pink_noise(length: int, seed: int) -> Samples:
    """`length` samples of noise whose power falls by 3 dB an octave, 50 Hz and up, at power 1."""
    return noises.pink_noise(length, np.random.default_rng(seed)).astype(np.float32)


def blows(length: int, seed: int, peak: float) -> Samples:
    """Blows of a hammer on a sheet, 3 a second on average, each as loud as `peak` at its beginning.

    Each is noise above 500 Hz that falls to a third within 12 ms. Common practice, no source.
    """
    draw = np.random.default_rng(seed)
    sound = np.zeros(length)
    ring = np.exp(-np.arange(SAMPLE_RATE // 10) / (0.012 * SAMPLE_RATE))
    for at in map(int, np.flatnonzero(draw.random(length) < _BLOWS_A_SECOND / SAMPLE_RATE)):
        spectrum = np.fft.rfft(draw.standard_normal(len(ring)))
        spectrum[: round(500 * len(ring) / SAMPLE_RATE)] = 0
        blow = np.fft.irfft(spectrum, len(ring)) * ring
        end = min(length, at + len(ring))
        sound[at:end] += (blow * peak / np.abs(blow).max())[: end - at]
    return np.asarray(sound, dtype=np.float32)


def mixed(speech: Samples, noise: Samples, snr_db: float) -> Samples:
    """`speech` plus `noise` so that mean power over the clip is `snr_db` above the noise.

    The sum is scaled down where it would clip, which changes no ratio.
    """
    wanted = np.mean(speech.astype(np.float64) ** 2) / 10 ** (snr_db / 10)
    present = np.mean(noise.astype(np.float64) ** 2)
    total = speech + noise * np.float32(np.sqrt(wanted / present))
    return np.asarray(total / max(1.0, float(np.abs(total).max())), dtype=np.float32)
