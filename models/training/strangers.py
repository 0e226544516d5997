"""Voices that nothing was trained or tuned on, to measure with: say whatever is asked for.

    python3 models/training/strangers.py --kokoro-voices package/voices

reads a JSON line for each utterance, `{"voice": ..., "words": ..., "pace": 1.0}`, from standard
input and answers with a line that is the path of its sound, FLAC at 16 kHz mono, peak 0.7. What was
said once is kept. Which voices are for tuning and which for reporting is in
`tests/benchmarks/strangers.py`; where engines and voices come from is in README.md.
"""

import argparse
import hashlib
import json
import os
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr
from voices import (
    ACCENT_OF,
    KEPT_FOR_MEASURING,
    SAMPLE_RATE,
    Audio,
    Speaker,
    speak,
    without_silence,
)

_HERE = Path(__file__).resolve().parent
_PICO = {"pico-us": "en-US", "pico-gb": "en-GB"}


def said(voice: str, words: str, pace: float, kokoro_voices: Path) -> Audio:
    """`words` by one of the voices; `pace` above 1 is quicker."""
    if voice in _PICO:
        return _as_recorded(*_pico(_PICO[voice], words, pace))
    if voice == "slt-hts":
        return _as_recorded(*_festival("cmu_us_slt_arctic_hts", words, pace))
    if voice not in KEPT_FOR_MEASURING:
        known = (*_PICO, "slt-hts", *sorted(KEPT_FOR_MEASURING))
        raise SystemExit(f"{voice} is no voice of a stranger; these are: {', '.join(known)}.")
    accent = ACCENT_OF.get(voice[0], "")
    person = Speaker(voice, "kokoro", voice, tract=1.0, pace=pace, accent=accent)
    return speak(person, words, kokoro_voices)


def _as_recorded(sound: Audio, rate: int) -> Audio:
    spoken = without_silence(soxr.resample(sound, rate, SAMPLE_RATE))
    loudest: float = np.abs(spoken).max(initial=1e-6)
    return (spoken * (0.7 / loudest)).astype(np.float32)


@cache
def _pico_engine() -> Any:
    from py_nanotts import NanoTTS

    return NanoTTS()


def _pico(voice: str, words: str, pace: float) -> tuple[Audio, int]:
    # At its full volume it clips.
    spoken = _pico_engine().speak(_as_text(words), voice=voice, speed=pace, volume=0.5)
    return np.frombuffer(spoken, np.int16).astype(np.float32) / 32768, 16_000


def _festival(voice: str, words: str, pace: float) -> tuple[Audio, int]:
    with tempfile.TemporaryDirectory() as folder:
        script = Path(folder, "say.scm")
        script.write_text(
            f"(voice_{voice})\n(Parameter.set 'Duration_Stretch {1 / pace:.3f})\n"
            f'(utt.save.wave (utt.synth (Utterance Text "{_as_text(words)}"))'
            f' "{folder}/said.wav" \'riff)\n',
            encoding="utf-8",
        )
        subprocess.run(
            [*os.environ.get("FESTIVAL", "festival").split(), "-b", str(script)], check=True
        )
        sound, rate = soundfile.read(f"{folder}/said.wav", dtype="float32")
    return sound, rate


def _as_text(words: str) -> str:
    """As an engine that reads text must be given single letters, and "xray", of which it makes one
    syllable: with capitals and a hyphen.
    """
    return " ".join(
        each.upper() if len(each) == 1 and each != "a" else each.replace("xray", "x-ray")
        for each in words.split()
    )


def main() -> None:
    """Say line after line."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--kokoro-voices", type=Path, required=True, help="folder of *.bin")
    parser.add_argument("--out", type=Path, default=_HERE / ".cache/strangers")
    asked = parser.parse_args()
    for line in sys.stdin:
        request = json.loads(line)
        voice, words, pace = request["voice"], request["words"], float(request.get("pace", 1.0))
        key = hashlib.sha256(f"{voice}:{pace}:{words}".encode()).hexdigest()[:24]
        path = asked.out / voice / f"{key}.flac"
        if not path.exists():
            path.parent.mkdir(parents=True, exist_ok=True)
            written = path.with_suffix(".part.flac")
            soundfile.write(written, said(voice, words, pace, asked.kokoro_voices), SAMPLE_RATE)
            written.replace(path)
        print(path, flush=True)


if __name__ == "__main__":
    main()
