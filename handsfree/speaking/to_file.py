"""Speaks into one WAV file."""

import contextlib
import wave
from pathlib import Path

from handsfree.engine.delivery import Delivery
from handsfree.errors import HandsfreeError
from handsfree.speaking.pace_and_gain import at_loudness, speed_of
from handsfree.speaking.voice import Voice
from handsfree.speaking.voices import OpenVoice

RATE_HZ = 16_000  # what the recognizers hear, so that a kept voice can be listened to as well
PAUSE_S = 0.5


class SpeechFileUnwritable(HandsfreeError):
    """The file for the speech cannot be written."""

    exit_code = 2

    def __init__(self, path: Path, error: OSError) -> None:
        super().__init__(
            f"{path}: speech cannot be written there ({error.strerror or error}). "
            "Name a file in a folder that exists, with room and leave to write."
        )


class FileSpeaker:
    """Keeps all utterances of a run in one WAV file: mono, 16 bit, 16 kHz.

    Building it replaces an existing file. A pause of `PAUSE_S` follows each utterance. The file is
    valid sound after every utterance, whatever happens later.
    Raises SpeechFileUnwritable, or SpeechEngineFailed if there is no engine.
    """

    def __init__(self, path: Path, open_voice: OpenVoice = Voice) -> None:
        self._path = path
        # The engine first: a file that cannot be refilled is not emptied.
        self._open_voice = open_voice
        self._voice = open_voice(RATE_HZ, 1.0)
        self._delivery = Delivery()
        try:
            self._file = path.open("wb")
        except OSError as error:
            self._voice.close()
            raise SpeechFileUnwritable(path, error) from error
        self._wave = wave.open(self._file, "wb")  # noqa: SIM115 - held until closed
        self._wave.setnchannels(1)
        self._wave.setsampwidth(2)
        self._wave.setframerate(RATE_HZ)
        try:
            self._append(b"")
        except OSError as error:
            self.close()
            raise SpeechFileUnwritable(path, error) from error

    def say(self, text: str) -> None:
        """Append `text`, spoken, and a pause; raises as the class does."""
        if not text.strip():
            return
        samples = at_loudness(self._voice.render(text), self._delivery)
        try:
            self._append(samples.astype("<i2").tobytes() + bytes(2 * round(PAUSE_S * RATE_HZ)))
        except OSError as error:
            raise SpeechFileUnwritable(self._path, error) from error

    def speak_as(self, delivery: Delivery) -> None:
        """Speak otherwise from here on; raises SpeechEngineFailed, and then speaks as before."""
        if delivery.pace != self._delivery.pace:
            voice = self._open_voice(RATE_HZ, speed_of(delivery))
            self._voice.close()
            self._voice = voice
        self._delivery = delivery

    def close(self) -> None:
        """Close the file and end the engine."""
        for part in (self._wave, self._file):
            with contextlib.suppress(OSError):  # `say` told of a file that cannot be written
                part.close()
        self._voice.close()

    def _append(self, frames: bytes) -> None:
        # writeframes also corrects the length in the header, which keeps the file valid.
        self._wave.writeframes(frames)
        self._file.flush()
