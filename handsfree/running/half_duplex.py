"""Speaking or hearing, never both: the tool must not hear itself."""

from collections.abc import Callable

from handsfree.speaking import Speaker


class HalfDuplex:
    """A speaker that tells the ear when it speaks, so that the tool never hears itself."""

    def __init__(self, speaker: Speaker, tool_speaks: Callable[[], None]) -> None:
        self._speaker = speaker
        self._tool_speaks = tool_speaks

    def say(self, text: str) -> None:
        """See `Speaker.say`."""
        self._tool_speaks()
        self._speaker.say(text)

    def close(self) -> None:
        """See `Speaker.close`."""
        self._speaker.close()
