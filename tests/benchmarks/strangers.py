"""Voices that nothing was trained or tuned on: which they are, and how to have them say something.

What they say is rendered by `models/training/strangers.py`, in the environment that it needs; the
commands here are given how to start it (`--mouth`) and talk to it over its standard streams.
"""

import hashlib
import json
import shlex
import subprocess
from datetime import timedelta
from pathlib import Path
from types import TracebackType

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.clips import read_clip
from handsfree.hearing.listeners import TwoListeners
from handsfree.hearing.opening import open_reader
from handsfree.hearing.recognizer import Recognizer
from handsfree.hearing.short_window import ShortWindow
from handsfree.hearing.transcriber import Transcriber
from handsfree.hearing.whisper import Encoded
from tests.benchmarks.speech import blows, mixed, pink_noise

# Words and thresholds may be chosen by the first, and figures are reported of the second alone. No
# sound of any was trained on; of Kokoro's other voices it was, and of the speaker of slt-hts by
# flite's voice of her.
FOR_TUNING = ("slt-hts", "im_nicola")
FOR_REPORTING = ("pico-us", "pico-gb", "af_kore", "bm_lewis", "hf_beta", "zm_yunyang")

CLEAN = "clean"
# Pink noise so many dB below the voice; and the same with the blows of a hammer as loud as it.
LEVELS = {CLEAN: None, "15 dB": 15, "10 dB": 10, "10 dB, blows": 10}

_SILENCE_S = 0.3  # before and after the words, as a microphone that is always open has it


class OnceEncoded(Transcriber):
    """A transcriber that encodes a sound once, however often it is heard at other moments."""

    def __init__(self) -> None:
        """See `Transcriber`."""
        super().__init__()
        self._last: tuple[Audio, Encoded] | None = None

    def encode(self, audio: Audio) -> Encoded:
        """See `Transcriber.encode`."""
        if self._last is None or self._last[0] is not audio:
            self._last = audio, super().encode(audio)
        return self._last[1]


def embedded_listeners() -> Recognizer:
    """The listeners that come with handsfree, none besides."""
    return TwoListeners(OnceEncoded(), open_reader(), ShortWindow())


class Mouth:
    """A process that speaks in any of these voices, and keeps what it has said once."""

    def __init__(self, command: str) -> None:
        """Start it by its command line."""
        self._process = subprocess.Popen(
            shlex.split(command), stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def __enter__(self) -> "Mouth":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """End it."""
        self._process.terminate()
        self._process.wait()

    def say(self, voice: str, words: str, pace: float = 1.0) -> Samples:
        """`words` by `voice`, 16 kHz; a `pace` above 1 is quicker."""
        speaks, answers = self._process.stdin, self._process.stdout
        assert speaks is not None
        assert answers is not None
        print(json.dumps({"voice": voice, "words": words, "pace": pace}), file=speaks, flush=True)
        path = answers.readline().strip()
        if not path:
            raise SystemExit(f"The voices stopped at '{words}' by {voice}; see above for why.")
        return read_clip(Path(path)).samples


def in_noise(said: Samples, level: str, key: str) -> Audio:
    """What was said with some silence about it, at one of `LEVELS`; equal keys give equal noise."""
    silence = np.zeros(round(_SILENCE_S * SAMPLE_RATE), np.float32)
    whole = np.concatenate([silence, said, silence])
    snr_db = LEVELS[level]
    if snr_db is not None:
        seed = int.from_bytes(hashlib.sha256(f"{key}:{level}".encode()).digest()[:8], "big")
        loudest = float(np.abs(said).max())
        whole = mixed(whole, pink_noise(len(whole), seed), snr_db)
        if level.endswith("blows"):
            whole = np.clip(whole + blows(len(whole), seed, loudest), -1, 1)
    return Audio(whole.astype(np.float32), timedelta(0))
