"""The demo's hangar noise, and speech mixed into it at a stated signal-to-noise ratio.

Sound here is mono float32 of shape (n,) at 16 kHz, full scale at 1.0.
"""

import numpy as np
import numpy.typing as npt

from handsfree.acoustics.hangar import hangar
from handsfree.errors import HandsfreeError

Sound = npt.NDArray[np.float32]
_Wave = npt.NDArray[np.float64]

RATE_HZ = 16_000
NOISE_RMS = 0.05
FRAME_S = 0.02
ACTIVE_RANGE_DB = 30.0


class Unmixable(HandsfreeError):
    """Speech and noise that have no signal-to-noise ratio together."""


def hangar_noise(seconds: float, rng: np.random.Generator) -> Sound:
    """Noise of an aircraft hangar, `seconds` long, with an RMS level of `NOISE_RMS`.

    The same state of `rng` gives the same noise.
    """
    return (NOISE_RMS * hangar(round(seconds * RATE_HZ), rng)).astype(np.float32)


def mix_at_snr(speech: Sound, noise: Sound, snr_db: float) -> Sound:
    """Speech with as much noise as gives the ratio `snr_db`, as long as the speech.

    The ratio is mean speech power over mean noise power, both over the active speech only: the
    frames of `FRAME_S` whose power is at most `ACTIVE_RANGE_DB` below that of the loudest frame.
    Pauses, and silence put before or after the speech, do not change it. Noise beyond the end of
    the speech is not used. Where the mixture would clip, all of it is made quieter.
    Raises Unmixable if the noise is shorter than the speech, or either is silent where it counts.
    """
    if len(noise) < len(speech):
        raise Unmixable(
            f"The noise lasts {len(noise) / RATE_HZ:.2f} s and the speech "
            f"{len(speech) / RATE_HZ:.2f} s. Make the noise at least as long."
        )
    noise = noise[: len(speech)]
    active = _active(speech)
    if not active.any():
        raise Unmixable("The speech is silent: there is no level to set the noise against.")
    speech_power = np.mean(speech[active].astype(np.float64) ** 2)
    noise_power = np.mean(noise[active].astype(np.float64) ** 2)
    if noise_power == 0:
        raise Unmixable("The noise is silent during the speech: no gain gives it a level.")
    gain = np.sqrt(speech_power / noise_power / 10 ** (snr_db / 10))
    mixture: _Wave = speech + gain * noise
    return (mixture / max(1.0, float(np.abs(mixture).max()))).astype(np.float32)


def _active(speech: Sound) -> npt.NDArray[np.bool_]:
    """Tell for each sample whether it belongs to active speech."""
    frame = round(FRAME_S * RATE_HZ)
    padded = np.pad(speech.astype(np.float64), (0, -len(speech) % frame))
    power = np.mean(padded.reshape(-1, frame) ** 2, axis=1)
    loudest = power.max(initial=0.0)
    active = (power > 0) & (power >= loudest / 10 ** (ACTIVE_RANGE_DB / 10))
    return np.repeat(active, frame)[: len(speech)]
