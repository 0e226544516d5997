"""Sound as every listener takes it."""

from dataclasses import dataclass
from datetime import timedelta

import numpy as np
import numpy.typing as npt

SAMPLE_RATE = 16_000  # Hz

Samples = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Audio:
    """One stretch of sound.

    Building it checks shape and type, and turns samples that are not numbers into silence: a
    broken sample must lower the score of an utterance, not stop the run.
    """

    samples: Samples  # mono, -1 to 1, at 16 kHz
    started: timedelta  # monotonic, from the start of the run

    def __post_init__(self) -> None:
        if self.samples.ndim != 1 or self.samples.dtype != np.float32:
            raise ValueError(
                f"samples are float32 in one dimension, not {self.samples.dtype} in "
                f"{self.samples.ndim}"
            )
        sound = np.clip(np.nan_to_num(self.samples, nan=0.0, posinf=1.0, neginf=-1.0), -1.0, 1.0)
        sound.setflags(write=False)
        object.__setattr__(self, "samples", sound)

    @property
    def duration(self) -> timedelta:
        """How long it lasts."""
        return timedelta(seconds=len(self.samples) / SAMPLE_RATE)

    @property
    def ended(self) -> timedelta:
        """When it ends, on the clock of `started`."""
        return self.started + self.duration
