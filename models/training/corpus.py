"""The training corpus on disk: for each speaker one long recording, and a table of its clips.

Few long files instead of thousands of short ones, because the folder travels to a GPU machine.
A table has one row a clip: recording, speaker, start and length in samples at 16 kHz, text.
"""

import csv
from collections.abc import Iterable
from dataclasses import astuple, dataclass, fields
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

SAMPLE_RATE = 16_000  # Hz


@dataclass(frozen=True, slots=True)
class Clip:
    """One utterance of one speaker."""

    recording: str  # file name in the corpus folder
    speaker: str
    start: int  # samples
    samples: int
    text: str  # lower case, words separated by single spaces


def write_recording(
    path: Path, speaker: str, utterances: Iterable[tuple[str, NDArray[np.float32]]]
) -> list[Clip]:
    """Write all utterances (text, 16 kHz mono) of one speaker as one file, and then its table.

    The suffix decides: `.flac` keeps every sample, `.ogg` (Opus) takes a sixth of the room.
    """
    clips: list[Clip] = []
    pieces: list[NDArray[np.float32]] = []
    position = 0
    for text, audio in utterances:
        clips.append(Clip(path.name, speaker, position, len(audio), text))
        pieces.append(audio)
        position += len(audio)
    subtype = "OPUS" if path.suffix == ".ogg" else "PCM_16"
    soundfile.write(path, np.concatenate(pieces), SAMPLE_RATE, subtype=subtype)
    with path.with_suffix(".csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        table.writerow(field.name for field in fields(Clip))
        table.writerows(astuple(clip) for clip in clips)
    return clips


def read_clips(folder: Path) -> list[Clip]:
    """Read the tables of all speakers, in the order of their names."""
    clips: list[Clip] = []
    for path in sorted(folder.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                start, samples = int(row["start"]), int(row["samples"])
                clips.append(Clip(row["recording"], row["speaker"], start, samples, row["text"]))
    return clips


def read_recording(path: Path) -> NDArray[np.int16]:
    """One recording as int16, 16 kHz mono."""
    audio, rate = soundfile.read(path, dtype="int16")
    if rate != SAMPLE_RATE or audio.ndim != 1:
        raise ValueError(f"{path}: expected 16 kHz mono, found {rate} Hz, shape {audio.shape}.")
    return np.asarray(audio, np.int16)
