"""The voices that there are, by name."""

from collections.abc import Callable
from enum import Enum
from functools import partial

from handsfree.speaking.natural import NaturalEngine, find_model
from handsfree.speaking.ready import Renders
from handsfree.speaking.reserve import VoiceWithReserve
from handsfree.speaking.voice import Voice

# The arguments: the rate in Hz, and the speed in times the usual one.
# Raises SpeechEngineFailed where there is no engine.
OpenVoice = Callable[[int, float], Renders]


class VoiceName(Enum):
    """What a person calls a voice."""

    BUILT_IN = "built-in"
    NATURAL = "natural"


def voice_called(name: VoiceName) -> OpenVoice:
    """How to open that voice; raises NaturalVoiceMissing where it is not installed."""
    if name is VoiceName.BUILT_IN:
        return Voice
    start = partial(NaturalEngine, find_model())

    def open_natural(rate_hz: int, speed: float) -> Renders:
        return VoiceWithReserve(
            first=lambda: Voice(rate_hz, speed, start), reserve=lambda: Voice(rate_hz, speed)
        )

    return open_natural
