"""Record synthetic people for `one_voice.py make --voices`, a folder each.

    python3 models/training/one_voice_people.py --out models/training/.cache/one-voice-people

Needs espeak-ng and flite, and piper-tts with joe's voice. They say numbers and the words around
them.
"""

import argparse
from pathlib import Path
from random import Random

import soundfile
from rich.progress import track
from voices import SAMPLE_RATE, Speaker, speak

_ACCENTS = ("en-us", "en-gb", "en-gb-scotland", "en-gb-x-rp", "en-029", "en-gb-x-gbclan")
_TIMBRES = ("m1", "m2", "m3", "m7", "f1", "f2", "f3", "f4", "f5", "klatt2", "Andy", "steph")
_OTHER_LANGUAGES = ("de", "es", "it", "fr-fr", "pl")
# Engine, voice, tract. Flite's rms is left out, to measure with.
CAST = (
    *(
        ("espeak", f"{accent}+{timbre}", 1.0)
        for accent, timbre in zip(_ACCENTS * 2, _TIMBRES, strict=True)
    ),
    *(("espeak", language, 1.0) for language in _OTHER_LANGUAGES),
    *(("flite", voice, 1.0) for voice in ("awb", "slt", "kal16")),
    *(("joe", "joe", tract) for tract in (0.85, 1.0, 1.15)),
)
_SAYINGS = {"espeak": 6, "flite": 10, "joe": 8}
_FIGURES = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "niner", "oh",
)  # fmt: skip
_OTHERS = (
    "psi", "bar", "degrees", "decimal", "pressure", "go ahead", "affirm", "alfa", "bravo", "kilo",
)  # fmt: skip


def main() -> None:
    """Let each say its share."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", type=Path, required=True)
    out: Path = parser.parse_args().out
    for engine, voice, tract in track(CAST, "speaking"):
        random = Random(f"{engine}:{voice}:{tract}")
        folder = out / f"{engine}-{voice}-{tract}"
        folder.mkdir(parents=True, exist_ok=True)
        for number in range(_SAYINGS[engine]):
            words = random.choices(_FIGURES, k=random.randint(1, 7))
            if random.random() < 0.4:
                words.insert(random.randint(0, len(words)), random.choice(_OTHERS))
            pace = random.uniform(0.85, 1.15) / tract
            sound = speak(Speaker(voice, engine, voice, tract, pace), " ".join(words), Path())
            soundfile.write(folder / f"{number}.flac", sound, SAMPLE_RATE)


if __name__ == "__main__":
    main()
