"""Make reference.npz: what librosa and Resemblyzer compute from a sound that is drawn here.

    python tests/hearing/likeness/make_reference.py

It needs librosa, torch and Resemblyzer 0.1.4. That also imports webrtcvad, which this does not use,
and SciPy's morphology from where it no longer is; both are put in its way here.
"""

import sys
import types
from pathlib import Path

import numpy as np
import scipy.ndimage

for name, more in (
    ("webrtcvad", {}),
    ("scipy.ndimage.morphology", {"binary_dilation": scipy.ndimage.binary_dilation}),
):
    sys.modules[name] = types.ModuleType(name)
    vars(sys.modules[name]).update(more)

from resemblyzer import VoiceEncoder  # noqa: E402
from resemblyzer.audio import normalize_volume, wav_to_mel_spectrogram  # noqa: E402

from tests.hearing.likeness.sound import drawn  # noqa: E402

encoder = VoiceEncoder("cpu", verbose=False)
voices = {
    f"voice_{seconds}": encoder.embed_utterance(
        normalize_volume(drawn(seconds), -30, increase_only=True)
    )
    for seconds in (0.7, 2.0, 5.3)
}
mel = wav_to_mel_spectrogram(drawn(0.7))
np.savez_compressed(Path(__file__).with_name("reference.npz"), mel=mel, **voices)
