"""Let voices that nothing was trained on say what people say at the steps of the two tasks.

    PYTHONPATH=. python3 models/training/make_sayings.py --kokoro-voices package/voices

Each voice is a file in `.cache/sayings`, with a table, as `corpus.py` writes them. The texts are
those of `tests/benchmarks/sayings.py`; the package handsfree must be importable.
"""

import argparse
import subprocess
import tempfile
from pathlib import Path

import numpy as np
import soundfile
import soxr
from corpus import SAMPLE_RATE, write_recording
from rich.progress import track
from voices import ACCENT_OF, Audio, Speaker, speak, without_silence

from tests.benchmarks.sayings import sayings

_HERE = Path(__file__).resolve().parent
KOKORO = ("hm_psi", "if_sara", "pm_alex", "zf_xiaoyi")
FESTIVAL = ("ked", "kal")
# Accents of espeak-ng that the cast has not. Those of flite are trained on, and say so.
ESPEAK = ("en-us-nyc+f4", "en-gb-x-gbcwmd+m3")
FLITE = ("awb", "rms")


def said_by(voice: str, texts: list[str], kokoro_voices: Path) -> list[Audio]:
    """The texts in one voice, 16 kHz mono, peak 0.7."""
    if voice in FESTIVAL:
        return _festival(voice, texts)
    engine = "kokoro" if voice in KOKORO else "flite" if voice in FLITE else "espeak"
    accent = ACCENT_OF.get(voice[0], "") if engine == "kokoro" else ""
    person = Speaker(voice, engine, voice, tract=1.0, pace=1.0, accent=accent)
    return [speak(person, text, kokoro_voices) for text in texts]


def _festival(voice: str, texts: list[str]) -> list[Audio]:
    with tempfile.TemporaryDirectory() as folder:
        lines = [f"(voice_{voice}_diphone)"]
        lines += [
            f'(utt.save.wave (utt.synth (Utterance Text "{text}")) "{folder}/{at}.wav" \'riff)'
            for at, text in enumerate(texts)
        ]
        script = Path(folder) / "say.scm"
        script.write_text("\n".join(lines), encoding="utf-8")
        subprocess.run(["festival", "-b", str(script)], check=True)
        sounds = [soundfile.read(f"{folder}/{at}.wav", dtype="float32") for at in range(len(texts))]
    spoken = [without_silence(soxr.resample(sound, rate, SAMPLE_RATE)) for sound, rate in sounds]
    return [(each * (0.7 / np.abs(each).max(initial=1e-6))).astype(np.float32) for each in spoken]


def main() -> None:
    """Parse and record."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--kokoro-voices", type=Path, required=True, help="folder of *.bin")
    parser.add_argument("--out", type=Path, default=_HERE / ".cache/sayings")
    arguments = parser.parse_args()
    arguments.out.mkdir(parents=True, exist_ok=True)
    for voice in track((*KOKORO, *FESTIVAL, *ESPEAK, *FLITE), "speaking"):
        texts = list(dict.fromkeys(each.words for each in sayings(voice)))
        sounds = said_by(voice, texts, arguments.kokoro_voices)
        write_recording(arguments.out / f"{voice}.ogg", voice, zip(texts, sounds, strict=True))


if __name__ == "__main__":
    main()
