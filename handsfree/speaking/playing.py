"""Plays what was recorded."""

from pathlib import Path
from typing import Protocol

from handsfree.speaking.aloud import NoSoundDevice, open_device


class Player(Protocol):
    """Plays clips, one at a time."""

    def play(self, clip: Path) -> None:
        """Play a sound file and return after its last sample."""


class DevicePlayer:
    """Plays through the default output device; raises NoSoundDevice where there is none."""

    def __init__(self) -> None:
        self._sounddevice, self._rate_hz = open_device()

    def play(self, clip: Path) -> None:
        """Play a mono file; raises NoSoundDevice where the device is lost or the file no sound."""
        import soundfile
        import soxr

        try:
            samples, rate_hz = soundfile.read(clip, dtype="float32")
            with self._sounddevice.OutputStream(self._rate_hz, channels=1, dtype="float32") as out:
                out.write(soxr.resample(samples, rate_hz, self._rate_hz))
        except (self._sounddevice.PortAudioError, soundfile.SoundFileError, OSError) as error:
            raise NoSoundDevice(f"playing {clip.name} failed ({error})") from error
