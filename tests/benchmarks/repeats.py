"""How alike two hearings of one person go wrong: `python -m tests.benchmarks.repeats`.

Strings of four digits by the three people of `../shared/data/digits`, joined of clips with gaps.
Each string is said four times, each time of other clips of the same person: what is misheard every
time is misheard because of the voice. It prints a block for RESULTS.md, from which the shares in
`handsfree/engine/evidence.py` are read.
"""

import argparse
import csv
import json
import random
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from datetime import timedelta
from itertools import combinations
from pathlib import Path

import numpy as np
from rich.progress import track

from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.clips import read_clip
from handsfree.hearing.listeners import open_recognizer
from handsfree.words.meanings import Stated, Understood
from handsfree.words.phrases import PhraseSet, Reading
from tests.benchmarks.speech import mixed, pink_noise, speech_folder

_SEED = 15
_DIGITS = 4
_SAYINGS = 4
# The last saying is the slow one that is asked for: each digit by itself.
_GAPS_MS = ((0, 120), (0, 120), (0, 120), (300, 400))
_QUIET_MS = 250
_LEVELS_DB = (None, 15, 10)
PRESSURE = PhraseSet((Reading(("pressure",), "psi"),))


@dataclass(frozen=True, slots=True)
class Saying:
    """One saying of one string, and what was heard."""

    speaker: str
    string: str
    level_db: int | None
    saying: int
    heard: str  # the figures; empty: none
    score: float


def strings(speaker: str, number: int) -> Iterator[tuple[str, tuple[Samples, ...]]]:
    """`number` strings by `speaker`, each with the sound of its sayings, the same on every run."""
    chance = random.Random(f"{_SEED}:{speaker}")
    takes = _takes(speaker)
    for _ in range(number):
        digits = [chance.choice(sorted(takes)) for _ in range(_DIGITS)]
        sounds = []
        for saying in range(_SAYINGS):
            pieces = [_silence(_QUIET_MS)]
            for digit in digits:
                # No clip is used in two sayings.
                own = [each for at, each in enumerate(takes[digit]) if at % _SAYINGS == saying]
                pieces += [chance.choice(own), _silence(chance.uniform(*_GAPS_MS[saying]))]
            sounds.append(np.concatenate([*pieces, _silence(_QUIET_MS)]))
        yield "".join(digits), tuple(sounds)


def _takes(speaker: str) -> dict[str, list[Samples]]:
    folder = speech_folder() / "digits"
    takes: dict[str, list[Samples]] = {}
    with (folder / "clips.csv").open(encoding="utf-8", newline="") as table:
        for row in csv.DictReader(table):
            if row["speaker"] == speaker:
                digit = row["clip"].partition("-")[0]
                takes.setdefault(digit, []).append(read_clip(folder / "clips" / row["clip"]).samples)
    return takes


def _silence(milliseconds: float) -> Samples:
    return np.zeros(int(milliseconds * SAMPLE_RATE / 1000), np.float32)


def said(number: int) -> list[Saying]:
    """Every saying, heard."""
    recognizer = open_recognizer()
    found = []
    for speaker in ("s1", "s2", "s3"):
        for string, sounds in track(strings(speaker, number), speaker, total=number):
            for level in _LEVELS_DB:
                for saying, sound in enumerate(sounds):
                    noise = pink_noise(len(sound), int(string) * 10 + saying)
                    heard_as = sound if level is None else mixed(sound, noise, level)
                    heard = recognizer.listen(Audio(heard_as, timedelta(0)), PRESSURE)
                    parsed = PRESSURE.parse(heard.words)
                    meaning = parsed.meaning if isinstance(parsed, Understood) else None
                    figures = meaning.figures if isinstance(meaning, Stated) else ""
                    found.append(Saying(speaker, string, level, saying, figures, heard.score))
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--strings", type=int, default=40, help="of each person")
    parser.add_argument("--keep", type=Path, help="write each hearing to this file")
    chosen = parser.parse_args()
    found = said(chosen.strings)
    if chosen.keep:
        chosen.keep.write_text(json.dumps([asdict(each) for each in found]))


if __name__ == "__main__":
    main()
