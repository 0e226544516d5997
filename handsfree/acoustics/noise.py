"""One noise, long enough to draw stretches from."""

from dataclasses import dataclass

import numpy as np

from handsfree.acoustics.waves import Rng, Wave, power_of
from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import Samples


class NoiseSilent(HandsfreeError):
    """A noise without any sound in it has no level."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name}: is silent, so it has no level. Record the place at work.")


@dataclass(frozen=True, slots=True, eq=False)
class Noise:
    """A noise whose mean power over all of `samples` is 1.

    Its level is a mean over many seconds on purpose: a rivet gun that rests is as quiet as it is,
    and one that hammers is louder than its level says.
    """

    name: str
    samples: Samples

    @staticmethod
    def of(name: str, sound: Wave | Samples) -> "Noise":
        """The noise `name`, brought to power 1; raises NoiseSilent."""
        power = power_of(sound)
        if not power > 0:
            raise NoiseSilent(name)
        return Noise(name, (np.asarray(sound, np.float64) / np.sqrt(power)).astype(np.float32))

    def stretch(self, length: int, rng: Rng) -> Samples:
        """`length` samples of it from a drawn place, going on at its beginning behind its end."""
        start = int(rng.integers(len(self.samples)))
        return self.samples.take(range(start, start + length), mode="wrap")
