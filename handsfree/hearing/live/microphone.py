"""The sound device that hears: a thin shell around PortAudio's callback."""

import atexit
import contextlib
import importlib
import queue
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np
import numpy.typing as npt

from handsfree.errors import HandsfreeError

if TYPE_CHECKING:
    from types import ModuleType

# Half a frame of the detector. Sound servers hand out two blocks at a time, at the rates that they
# convert from: with blocks of a frame the end of an utterance is seen up to 64 ms late.
BLOCK_MS = 16
PATIENCE_S = 2.0  # a device that gives no sound for so long has gone
CLOSES_WITHIN_S = 2.0  # a stream of a device that is there closes within some milliseconds
_KEPT_BLOCKS = 40_000 // BLOCK_MS  # 40 s: longer than the longest thing that is said at once


class NoMicrophone(HandsfreeError):
    """There is nothing to hear with."""

    exit_code = 2

    def __init__(self, why: str) -> None:
        super().__init__(
            f"No microphone: {why}. See `handsfree devices`, or do the task from sound files with "
            "--clips FOLDER or by typed words with --keyboard."
        )


class MicrophoneLost(HandsfreeError):
    """The microphone was there and has gone, or its driver stopped."""

    def __init__(self, name: str, why: str) -> None:
        super().__init__(f"Microphone {name}: {why}. Plug it in again.")


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """A piece of sound as the device gave it."""

    samples: npt.NDArray[np.float32]  # shape (n, channels), -1 to 1, at the rate of the device
    gap: bool  # sound was lost before this: the computer was too slow, or nobody read


class Microphone(Protocol):
    """Where live sound comes from."""

    @property
    def name(self) -> str:
        """What people call it."""

    @property
    def rate_hz(self) -> int:
        """The rate of its sound; it may change when it is opened again."""

    def open(self) -> None:
        """Begin, or begin anew after a loss; raises MicrophoneLost."""

    def read(self, timeout_s: float) -> Block | None:
        """The next block; None if there is none in time. Raises MicrophoneLost."""

    def close(self) -> None:
        """Stop. Closing twice is safe."""


class DeviceMicrophone:
    """A microphone that PortAudio knows."""

    def __init__(self, device: str | int | None, channels: int = 1) -> None:
        """Take the device of that name or number, None the default one; `open` begins.

        Raises NoMicrophone where there is none such, or it has fewer `channels`.
        """
        self._sounddevice = load_portaudio()
        self._device = device
        self._channels = channels
        self._stream: Any = None
        self._blocks: queue.SimpleQueue[Block] = queue.SimpleQueue()
        found = self._found()
        self._name = str(found["name"])
        self._rate_hz = int(found["default_samplerate"])

    @property
    def name(self) -> str:
        """See `Microphone.name`."""
        return self._name

    @property
    def rate_hz(self) -> int:
        """See `Microphone.rate_hz`."""
        return self._rate_hz

    def open(self) -> None:
        """See `Microphone.open`."""
        self.close()
        try:
            found = self._found()
            # A device without conversion of its own hears at no other rate than this.
            self._rate_hz = int(found["default_samplerate"])
            self._stream = self._sounddevice.InputStream(
                samplerate=self._rate_hz,
                blocksize=self._rate_hz * BLOCK_MS // 1000,
                device=self._device,
                channels=self._channels,
                dtype="float32",
                latency="low",
                callback=self._take,
            )
            self._stream.start()
        except NoMicrophone as error:
            raise MicrophoneLost(self.name, "it is not there") from error
        except self._sounddevice.PortAudioError as error:
            self.close()
            raise MicrophoneLost(self.name, f"cannot be opened ({error})") from error

    def read(self, timeout_s: float) -> Block | None:
        """See `Microphone.read`."""
        if self._stream is None:
            raise MicrophoneLost(self.name, "it is not open")
        try:
            return self._blocks.get(timeout=timeout_s) if timeout_s else self._blocks.get_nowait()
        except queue.Empty:
            if not self._stream.active:
                raise MicrophoneLost(self.name, "it has stopped") from None
            if timeout_s >= PATIENCE_S:
                raise MicrophoneLost(self.name, f"gave no sound for {timeout_s:g} s") from None
            return None

    def close(self) -> None:
        """See `Microphone.close`."""
        stream, self._stream = self._stream, None
        if stream is not None:
            _close(self._sounddevice, stream)
        self._blocks = queue.SimpleQueue()

    def _take(
        self, samples: npt.NDArray[np.float32], _frames: int, _time: object, status: Any
    ) -> None:
        # In PortAudio's own thread: copy and go. Where nobody reads, the oldest sound is let go.
        gap = bool(status.input_overflow)
        if self._blocks.qsize() >= _KEPT_BLOCKS:
            gap = True
            with contextlib.suppress(queue.Empty):  # read in this very moment
                self._blocks.get_nowait()
        self._blocks.put(Block(samples.copy(), gap))

    def _found(self) -> dict[str, Any]:
        try:
            found: dict[str, Any] = self._sounddevice.query_devices(self._device, kind="input")
        except (self._sounddevice.PortAudioError, ValueError) as error:
            named = "no input found" if self._device is None else f"no input '{self._device}'"
            raise NoMicrophone(f"{named} ({error})") from error
        there = int(found["max_input_channels"])
        if there < self._channels:
            raise NoMicrophone(
                f"{found['name']} has {there} channels, and channel {self._channels} was asked for"
            )
        return found


def numbered(device: str | None) -> str | int | None:
    """A device as PortAudio takes it: figures are its number, all else a part of its name."""
    return int(device) if device is not None and device.isdigit() else device


def load_portaudio() -> "ModuleType":
    """The module sounddevice; raises NoMicrophone where PortAudio is missing."""
    try:
        sounddevice = importlib.import_module("sounddevice")
    except OSError as error:
        raise NoMicrophone(f"{error} (Debian, Ubuntu: apt install libportaudio2)") from error
    return sounddevice


def _close(sounddevice: "ModuleType", stream: Any) -> None:
    """Close a stream, or give it up: where its device has gone, PortAudio may wait for ever.

    A stream that was given up is left to itself until the program ends. PortAudio must not be asked
    to end either then, for it would wait for the same stream.
    """

    def close() -> None:
        with contextlib.suppress(sounddevice.PortAudioError):  # it may have gone already
            stream.close()

    closing = threading.Thread(target=close, daemon=True)
    closing.start()
    closing.join(CLOSES_WITHIN_S)
    if closing.is_alive():
        _given_up.append(stream)
        atexit.unregister(sounddevice._exit_handler)


_given_up: list[Any] = []


def find_devices_anew() -> None:
    """Have PortAudio look for what was plugged in since it began; closes every open stream.

    Where a stream had to be given up, what was there before can be opened again, and nothing new.
    """
    if _given_up:
        return
    sounddevice = load_portaudio()
    # PortAudio makes its list of devices once; the module offers no public way to make it anew.
    sounddevice._terminate()
    sounddevice._initialize()
