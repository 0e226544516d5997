"""Lets a run go on when its voice fails."""

import logging

from handsfree.engine.delivery import Delivery
from handsfree.errors import HandsfreeError
from handsfree.speaking.aloud import AloudSpeaker, NoSoundDevice
from handsfree.speaking.silent import SilentSpeaker
from handsfree.speaking.speaker import Speaker
from handsfree.speaking.to_file import FileSpeaker

_diagnostics = logging.getLogger(__name__)


class BeepSpeaker:
    """Two short tones for each thing said: the engine is dead, and there is something to read."""

    def __init__(self, aloud: AloudSpeaker) -> None:
        """Only the device of `aloud` is used."""
        self._aloud = aloud

    def say(self, text: str) -> None:
        """Beep; raises NoSoundDevice."""
        if text.strip():
            self._aloud.beep()

    def close(self) -> None:
        """The engine was closed when it failed."""


class SteadySpeaker:
    """Speaks through `speaker` as long as that works, and says so once when it does not.

    `say` raises no HandsfreeError: what is to be spoken is also printed and recorded, and a run
    that ends in the middle of a step is worse than one that must be read. A device that has gone
    is tried again each time; an engine that has failed is not, and beeps take its place.
    What was not heard is told by `why_unheard`: a warning that nobody heard is no warning.
    """

    def __init__(self, speaker: Speaker, why_unheard: str | None = None) -> None:
        """`why_unheard`: why nothing can be heard from the beginning."""
        self._speaker = speaker
        self._device_gone = False
        self._why_unheard = why_unheard

    def say(self, text: str) -> None:
        """Speak `text` if that is possible now."""
        try:
            self._say(text)
            self._device_gone = False
        except NoSoundDevice as error:
            if not self._device_gone:
                _diagnostics.warning("%s Speech is not heard until it is back.", error)
            self._device_gone = True
            self._why_unheard = "the sound device failed"

    def why_unheard(self) -> str | None:
        """Why something was not heard since this was asked last; None: all was."""
        why, self._why_unheard = self._why_unheard, None
        return why

    def _say(self, text: str) -> None:
        try:
            self._speaker.say(text)
        except NoSoundDevice:
            raise
        except HandsfreeError as error:
            failed = self._speaker
            failed.close()
            if isinstance(failed, AloudSpeaker):
                _diagnostics.warning("%s From here on it beeps: read what is printed.", error)
                self._why_unheard = "the speech engine failed"
                self._speaker = BeepSpeaker(failed)
                self._speaker.say(text)
            else:
                _diagnostics.warning("%s From here on speech is not heard.", error)
                self._why_unheard = "the speech file failed"
                self._speaker = SilentSpeaker()

    def expect(self, texts: tuple[str, ...]) -> None:
        """Have what may be said next ready, where that is heard; see `ReadyVoice.expect`."""
        if isinstance(self._speaker, AloudSpeaker):
            self._speaker.expect(texts)

    def hurry(self, texts: tuple[str, ...]) -> None:
        """Have what is all but sure to be said ready; see `ReadyVoice.hurry`."""
        if isinstance(self._speaker, AloudSpeaker):
            self._speaker.hurry(texts)

    def speak_as(self, delivery: Delivery) -> None:
        """Speak otherwise from here on; one line says so where the voice cannot."""
        if isinstance(self._speaker, AloudSpeaker | FileSpeaker):
            try:
                self._speaker.speak_as(delivery)
            except HandsfreeError as error:
                _diagnostics.warning("%s It speaks on as before.", error)

    def close(self) -> None:
        """Close the speaker that is in use."""
        self._speaker.close()
