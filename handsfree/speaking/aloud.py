"""Speaks through the sound device."""

from typing import Any

from handsfree.errors import HandsfreeError
from handsfree.speaking.voice import Voice


class NoSoundDevice(HandsfreeError):
    """There is nothing to be heard with, or it has gone."""

    def __init__(self, why: str) -> None:
        super().__init__(f"No sound device: {why}.")


def open_device() -> tuple[Any, int]:
    """The module sounddevice, which has no types, and the rate of the default output in Hz.

    A device without conversion of its own plays no other rate. Raises NoSoundDevice.
    """
    try:
        import sounddevice
    except OSError as error:
        raise NoSoundDevice(f"{error} (Debian, Ubuntu: apt install libportaudio2)") from error
    try:
        device = sounddevice.query_devices(kind="output")
    except (sounddevice.PortAudioError, ValueError) as error:
        raise NoSoundDevice(f"no output found ({error})") from error
    return sounddevice, round(device["default_samplerate"])


class AloudSpeaker:
    """Speaks through the default output device.

    pyttsx3's own `say` needs the program "aplay" on Linux and hides every failure to play; here
    the engine renders and PortAudio plays, so that the end of speech and a lost device are known.
    Raises NoSoundDevice, or SpeechEngineFailed if there is no engine.
    """

    def __init__(self, speed: float = 1.0) -> None:
        self._sounddevice, self._rate_hz = open_device()
        self._voice = Voice(self._rate_hz, speed)

    def say(self, text: str) -> None:
        """Speak `text` and return after its last sample; raises as the class does."""
        if not text.strip():
            return
        samples = self._voice.render(text)
        try:
            with self._sounddevice.OutputStream(self._rate_hz, channels=1, dtype="int16") as out:
                out.write(samples)
        except self._sounddevice.PortAudioError as error:
            raise NoSoundDevice(f"playing failed ({error})") from error

    def close(self) -> None:
        """End the engine."""
        self._voice.close()
