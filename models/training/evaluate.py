"""Measure the shipped reader on people and microphones it never heard, beside the unchanged model.

    python3 models/training/evaluate.py --listener greedy decoder whisper

Readings: AN4, one half of its speakers, as recorded and in seeded pink noise; a clip is right when
every word is ("oh" for "zero" is right). Words: the ten of the word set that a phrase set may hold.
Needs neither torch nor the rest of handsfree.
"""

import argparse
import csv
import hashlib
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from statistics import median

import numpy as np
import soundfile
from listening import SAMPLE_RATE, Decoder, Reader, Samples
from rich.progress import track
from speakers import half
from texts import DIGITS, TEENS, TENS

NOISE_DB = (None, 15, 10, 5)  # None: as recorded
NUMBERS = frozenset(
    (*DIGITS, "oh", *TEENS, *TENS, "hundred", "thousand", "and"),
)
WORDS = frozenset(["yes", "no", "on", "off", "up", "down", "left", "right", "go", "stop"])
_NOISE_SEED = 20260801
_REPOSITORY = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Clip:
    """One recording and what is said in it."""

    path: Path
    words: tuple[str, ...]


def readings(an4: Path, wanted: str) -> list[Clip]:
    """The numbers read out by the speakers of one half."""
    with (an4 / "clips.csv").open(encoding="utf-8", newline="") as table:
        return [
            Clip(an4 / "clips" / row["clip"], tuple(row["transcript"].split()))
            for row in csv.DictReader(table)
            if row["kind"] == "reading" and half(row["speaker"]) == wanted
        ]


def single_words(folder: Path) -> list[Clip]:
    """The clips of `WORDS`."""
    with (folder / "clips.csv").open(encoding="utf-8", newline="") as table:
        return [
            Clip(folder / "clips" / row["clip"], (row["word"],))
            for row in csv.DictReader(table)
            if row["word"] in WORDS
        ]


def sound_of(clip: Clip, noise_db: int | None) -> Samples:
    """The clip, with pink noise (50 Hz and up) so that its mean power is `noise_db` above it."""
    clean, _ = soundfile.read(clip.path, dtype="float32")
    if noise_db is None:
        return np.asarray(clean, np.float32)
    name = hashlib.sha256(f"{_NOISE_SEED}:{clip.path.name}:{noise_db}".encode()).digest()
    random = np.random.default_rng(int.from_bytes(name[:8]))
    hertz = np.fft.rfftfreq(len(clean), 1 / SAMPLE_RATE)
    spectrum = np.fft.rfft(random.standard_normal(len(clean))) / np.sqrt(np.maximum(hertz, 50))
    noise = np.fft.irfft(spectrum, len(clean))
    noise *= np.sqrt(np.mean(clean**2) / np.mean(noise**2) / 10 ** (noise_db / 10))
    mixed = clean + noise
    return np.asarray(mixed / max(1.0, np.abs(mixed).max()), np.float32)


def measure(
    title: str,
    listen: Callable[[Samples], tuple[str, ...]],
    clips: list[Clip],
    noise_db: int | None,
    failures: bool,
) -> None:
    """Print how many clips were heard right, and the median time."""
    wrong: list[str] = []
    took: list[float] = []
    for clip in track(clips, title, disable=not sys.stderr.isatty()):
        sound = sound_of(clip, noise_db)
        started = time.perf_counter()
        heard = listen(sound)
        took.append(time.perf_counter() - started)
        if _zero(heard) != _zero(clip.words):
            wrong.append(f"  {clip.path.name}: {' '.join(clip.words)} | {' '.join(heard)}")
    right = len(clips) - len(wrong)
    print(f"{title}: {right} of {len(clips)}, median {1000 * median(took):.0f} ms", flush=True)
    if failures and wrong:
        print("\n".join(wrong), flush=True)


def _zero(words: tuple[str, ...]) -> tuple[str, ...]:
    return tuple("zero" if word == "oh" else word for word in words)


def main() -> None:
    """Measure and print one line a listener and condition."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    names = ("greedy", "decoder", "whisper")
    parser.add_argument("--reader", type=Path, default=_REPOSITORY / "models/reader")
    parser.add_argument("--recordings", type=Path, default=_REPOSITORY.parent / "shared/data")
    parser.add_argument("--half", choices=("reporting", "tuning"), default="reporting")
    parser.add_argument("--every", type=int, default=1, help="only each nth clip")
    parser.add_argument("--failures", action="store_true", help="also print what went wrong")
    parser.add_argument("--listener", choices=names, nargs="+", default=list(names))
    parser.add_argument("--no-noise", action="store_true", help="only as recorded")
    arguments = parser.parse_args()

    reader, decoder = Reader(arguments.reader), Decoder()
    listeners: dict[str, Callable[[Samples, frozenset[str]], tuple[str, ...]]] = {
        "greedy": lambda sound, _: reader.greedy(sound),
        "decoder": lambda sound, words: decoder.hear(reader.hear(sound)[0], sound, words),
        "whisper": lambda sound, words: decoder.hear(decoder.encode(sound), sound, words),
    }
    levels = (None,) if arguments.no_noise else NOISE_DB
    spoken = readings(arguments.recordings / "an4", arguments.half)[:: arguments.every]
    words = single_words(arguments.recordings / "words")[:: arguments.every]
    for name in arguments.listener:
        listen = listeners[name]
        for level in levels:
            title = f"{name}, readings, {'clean' if level is None else f'{level} dB'}"
            numbers = lambda sound, hear=listen: hear(sound, NUMBERS)  # noqa: E731
            measure(title, numbers, spoken, level, arguments.failures)
        commands = lambda sound, hear=listen: hear(sound, WORDS)  # noqa: E731
        measure(f"{name}, words", commands, words, None, arguments.failures)


if __name__ == "__main__":
    main()
