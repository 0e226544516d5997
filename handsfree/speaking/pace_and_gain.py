"""What a step of pace or loudness is, see `engine.delivery`. Own choices, no source."""

from typing import TYPE_CHECKING

from handsfree.engine.delivery import Delivery

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

_SPEED_STEP = 1.15  # four steps lie between 0.76 and 1.32 times the usual speed
_GAIN_STEP_DB = 3.0


def speed_of(delivery: Delivery) -> float:
    """In times the usual speed."""
    return _SPEED_STEP**delivery.pace


def at_loudness(samples: "npt.NDArray[np.int16]", delivery: Delivery) -> "npt.NDArray[np.int16]":
    """`samples`, louder or quieter; never so loud that a peak is clipped."""
    import numpy as np

    if not delivery.loudness or not len(samples):
        return samples
    peak = max(1, int(np.abs(samples.astype(np.int32)).max()))
    gain = min(10 ** (_GAIN_STEP_DB * delivery.loudness / 20), np.iinfo(np.int16).max / peak)
    return (samples * gain).astype(np.int16)
