"""A voice with another one in reserve."""

import logging
from collections.abc import Callable
from typing import TYPE_CHECKING

from handsfree.speaking.engine_process import SpeechEngineFailed
from handsfree.speaking.ready import Renders

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

_diagnostics = logging.getLogger(__name__)


class VoiceWithReserve:
    """Speaks with the `first` voice until it fails, says so once, and goes on with the reserve.

    A voice that failed is not tried again. Raises SpeechEngineFailed if the reserve fails too.
    """

    def __init__(self, first: Callable[[], Renders], reserve: Callable[[], Renders]) -> None:
        self._open_reserve = reserve
        self._first: Renders | None = None
        self._reserve: Renders | None = None
        try:
            self._first = first()
        except SpeechEngineFailed as error:
            self._tell(error)
            self._reserve = reserve()

    def render(self, text: str) -> "npt.NDArray[np.int16]":
        """Speak `text` into memory; see `Voice.render`."""
        if self._first is not None:
            try:
                return self._first.render(text)
            except SpeechEngineFailed as error:
                self._tell(error)
                self._first.close()
                self._first = None
        if self._reserve is None:
            self._reserve = self._open_reserve()
        return self._reserve.render(text)

    def close(self) -> None:
        """End the voice that speaks. Closing twice is safe."""
        for voice in (self._first, self._reserve):
            if voice is not None:
                voice.close()

    def _tell(self, error: SpeechEngineFailed) -> None:
        _diagnostics.warning("%s From here on the built-in voice speaks.", error)
