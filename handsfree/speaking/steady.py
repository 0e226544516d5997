"""Lets a run go on when its voice fails."""

import logging

from handsfree.errors import HandsfreeError
from handsfree.speaking.silent import SilentSpeaker
from handsfree.speaking.speaker import Speaker

_diagnostics = logging.getLogger(__name__)


class SteadySpeaker:
    """Speaks through `speaker` until that fails, says so once in the diagnostics, then is silent.

    `say` raises no HandsfreeError: what is to be spoken is also printed and recorded, and a run
    that ends in the middle of a step is worse than one that must be read.
    """

    def __init__(self, speaker: Speaker) -> None:
        self._speaker = speaker

    def say(self, text: str) -> None:
        """Speak `text` if that is still possible."""
        try:
            self._speaker.say(text)
        except HandsfreeError as error:
            _diagnostics.warning("%s From here on speech is not heard.", error)
            self._speaker.close()
            self._speaker = SilentSpeaker()

    def close(self) -> None:
        """Close the speaker that is in use."""
        self._speaker.close()
