"""Record synthetic people for `broken_off.py make --voices`, a folder each.

    python3 models/training/broken_off_people.py --kokoro-voices package/voices --out PEOPLE

They are the people of `voices.cast`, and voices of other languages of espeak-ng. They say numbers
and the words around them. Needs what `make_data.py` needs. `--part 0/2` speaks for every second
person only, so that two processes can share the work.
"""

import argparse
from pathlib import Path
from random import Random

import soundfile
from rich.progress import track
from voices import SAMPLE_RATE, Speaker, cast, speak

_OTHER_LANGUAGES = ("de", "es", "it", "fr-fr", "pl", "pt-br", "nl", "ro", "sv", "tr", "hi", "ru")
_SAYINGS = {"kokoro": 4, "joe": 3, "flite": 6, "espeak": 6}
_LEFT_OUT = "rms"  # of flite, to measure with
_FIGURES = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "niner", "oh",
)  # fmt: skip
_OTHERS = (
    "psi", "bar", "degrees", "decimal", "pressure", "go ahead", "affirm", "alfa", "bravo", "kilo",
    "newton metres", "serial number", "temperature", "romeo", "victor", "stand by", "negative",
    "door closed", "pin fitted", "december", "juliett",
)  # fmt: skip


def people(seed: int, kokoro_voices: Path) -> list[Speaker]:
    """Whoever speaks; equal seeds give equal people."""
    random = Random(f"languages:{seed}")
    drawn = [each for each in cast(Random(seed), kokoro_voices) if each.voice != _LEFT_OUT]
    for name in _OTHER_LANGUAGES:
        tract = random.uniform(0.85, 1.18)
        pace = random.uniform(0.85, 1.15) / tract
        drawn.append(Speaker(f"espeak-{name}", "espeak", name, tract, pace))
    return drawn


def main() -> None:
    """Let each say its share."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--kokoro-voices", type=Path, required=True, help="folder of *.bin")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--part", default="0/1")
    asked = parser.parse_args()
    part, parts = map(int, asked.part.split("/"))
    for speaker in track(people(asked.seed, asked.kokoro_voices)[part::parts], "speaking"):
        random = Random(f"{asked.seed}:{speaker.name}")
        folder: Path = asked.out / speaker.name
        folder.mkdir(parents=True, exist_ok=True)
        for number in range(_SAYINGS[speaker.engine]):
            words = random.choices(_FIGURES, k=random.randint(1, 6))
            for _ in range(random.choice((0, 1, 1, 2))):
                words.insert(random.randint(0, len(words)), random.choice(_OTHERS))
            sound = speak(speaker, " ".join(words), asked.kokoro_voices)
            soundfile.write(folder / f"{number}.ogg", sound, SAMPLE_RATE)


if __name__ == "__main__":
    main()
