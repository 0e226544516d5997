"""Speaks through the sound device."""

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

from handsfree.engine.delivery import Delivery
from handsfree.errors import HandsfreeError
from handsfree.speaking.pace_and_gain import at_loudness, speed_of
from handsfree.speaking.ready import ReadyVoice, sentences
from handsfree.speaking.silence import BETWEEN_S, without_silence
from handsfree.speaking.voice import Voice
from handsfree.speaking.voices import OpenVoice

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

_PIECE_S = 0.05  # how long a voice has to wait until it stops an instruction
_BEEP_HZ, _BEEP_S = 880, 0.15


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
    """Speaks through an output device.

    pyttsx3's own `say` needs the program "aplay" on Linux and hides every failure to play; here
    the engine renders and PortAudio plays, so that the end of speech and a lost device are known.
    Sentences are played one by one: the first is heard while the others are rendered, and those
    that were expected are ready.
    Raises NoSoundDevice, or SpeechEngineFailed if there is no engine.
    """

    def __init__(
        self,
        speed: float = 1.0,
        stop: Callable[[], bool] | None = None,
        open_voice: OpenVoice = Voice,
    ) -> None:
        """`stop` is asked, while speaking, whether to be silent now; None: speak to the end."""
        self._sounddevice, self._rate_hz = open_device()
        self._speed = speed
        self._stop = stop
        self._open_voice = open_voice
        self._voice = ReadyVoice(open_voice(self._rate_hz, speed))
        self._delivery = Delivery()

    def say(self, text: str) -> None:
        """Speak `text` and return after its last sample; raises as the class does."""
        spoken = sentences(text)
        if not spoken:
            return
        self._follow_rate()
        first = self._voice.render(spoken[0])
        self._voice.hurry(spoken[1:])  # they are rendered while the first is played
        try:
            with self._sounddevice.OutputStream(self._rate_hz, channels=1, dtype="int16") as out:
                for at, sentence in enumerate(spoken):
                    rendered = self._voice.render(sentence) if at else first
                    samples = without_silence(rendered, self._rate_hz)
                    if at:
                        samples = _after_a_pause(samples, self._rate_hz)
                    for piece in self._pieces(at_loudness(samples, self._delivery)):
                        if self._stop is not None and self._stop():
                            out.abort()
                            return
                        out.write(piece)
        except self._sounddevice.PortAudioError as error:
            raise NoSoundDevice(f"playing failed ({error})") from error

    def speak_as(self, delivery: Delivery) -> None:
        """Speak otherwise from here on; raises SpeechEngineFailed, and then speaks as before."""
        if delivery.pace != self._delivery.pace:
            voice = self._opened(self._rate_hz, delivery)
            self._voice.close()
            self._voice = voice
        self._delivery = delivery

    def beep(self) -> None:
        """Two short tones: there is something to read. Raises NoSoundDevice."""
        import numpy as np

        _, self._rate_hz = open_device()
        time_s = np.arange(round(_BEEP_S * self._rate_hz)) / self._rate_hz
        tone = (8000 * np.sin(2 * np.pi * _BEEP_HZ * time_s)).astype(np.int16)
        sound = np.concatenate([tone, np.zeros_like(tone), tone])
        try:
            with self._sounddevice.OutputStream(self._rate_hz, channels=1, dtype="int16") as out:
                out.write(sound)
        except self._sounddevice.PortAudioError as error:
            raise NoSoundDevice(f"playing failed ({error})") from error

    def expect(self, texts: Iterable[str]) -> None:
        """See `ReadyVoice.expect`."""
        self._voice.expect(texts)

    def hurry(self, texts: Iterable[str]) -> None:
        """See `ReadyVoice.hurry`."""
        self._voice.hurry(texts)

    def close(self) -> None:
        """End the engine."""
        self._voice.close()

    def _follow_rate(self) -> None:
        """Another device may be the default one by now, and play no rate but its own."""
        _, rate_hz = open_device()
        if rate_hz != self._rate_hz:
            self._voice.close()
            self._rate_hz = rate_hz
            self._voice = self._opened(rate_hz, self._delivery)

    def _opened(self, rate_hz: int, delivery: Delivery) -> ReadyVoice:
        return ReadyVoice(self._open_voice(rate_hz, self._speed * speed_of(delivery)))

    def _pieces(self, samples: "npt.NDArray[np.int16]") -> "list[npt.NDArray[np.int16]]":
        if self._stop is None:
            return [samples]
        size = round(_PIECE_S * self._rate_hz)
        return [samples[at : at + size] for at in range(0, len(samples), size)]


def _after_a_pause(samples: "npt.NDArray[np.int16]", rate_hz: int) -> "npt.NDArray[np.int16]":
    import numpy as np

    return np.concatenate([np.zeros(round(BETWEEN_S * rate_hz), np.int16), samples])
