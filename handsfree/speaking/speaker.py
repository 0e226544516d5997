"""What every way of speaking has in common."""

from typing import Protocol


class Speaker(Protocol):
    """Speaks to the technician, one utterance at a time."""

    def say(self, text: str) -> None:
        """Speak `text` and return when it has been spoken; a blank text is no utterance."""

    def close(self) -> None:
        """Let go of engine, device and file. Nothing is said afterwards; closing twice is safe."""
