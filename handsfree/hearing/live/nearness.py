"""Whether the person at the microphone speaks, or somebody farther away. Pure."""

import math
from dataclasses import dataclass

# A voice at 10 cm falls by 20 dB to where it is heard from 1 m (inverse distance law).
FARTHER_DB = 15.0
_FOLLOWS = 0.3  # how far the usual level moves to that of an utterance that was taken
_YIELDS_DB = 4.0


@dataclass(frozen=True, slots=True)
class Nearness:
    """How loud the person at this microphone usually is."""

    usual_dbfs: float | None = None  # None: nobody has spoken yet

    def is_near(self, level_dbfs: float) -> bool:
        """Whether a voice of this level is the person at the microphone."""
        return self.usual_dbfs is None or level_dbfs > self.usual_dbfs - FARTHER_DB

    def after(self, level_dbfs: float) -> "Nearness":
        """What is usual after a voice of this level.

        A far voice counts a little: a person whose microphone has slipped is heard again after a
        few words, and not shut out for good.
        """
        if not math.isfinite(level_dbfs):
            return self
        if self.usual_dbfs is None:
            return Nearness(level_dbfs)
        if not self.is_near(level_dbfs):
            return Nearness(self.usual_dbfs - _YIELDS_DB)
        return Nearness(self.usual_dbfs + _FOLLOWS * (level_dbfs - self.usual_dbfs))
