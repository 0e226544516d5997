"""What is wrong with the sound of an utterance, told from the sound alone.

A listener can be sure of words in sound that is broken, for it was taught to hear through much.
Nothing is believed from such sound, however well it seems to be heard, and the person is told what
helps. The limits are far from what the recordings of AN4, of the strangers' digits and of the
single words hold (`tests/benchmarks/bad_input.py`).
"""

import numpy as np
import numpy.typing as npt

from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.words.heard import Trouble

# Flat tops: this near to the largest value, so many in a row, and this share of all samples.
_TOP = 0.995
_IN_A_ROW = 3
_LARGEST_FLAT_SHARE = 0.004
# Holes: exact zeros between samples that are this share of the largest one or more.
_LOUD = 0.03
_MOST_HOLES_A_SECOND = 20.0  # one sample in ten lost makes hundreds
# Holes that are lost packets. Silence that a voice detector or an editor puts in lasts longer.
_LOUD_BESIDE_PACKET = 0.005
_PACKET_S = (0.004, 0.065)  # from half of 10 ms to three of 20 ms
_MOST_PACKETS_A_SECOND = 0.9


def trouble_of(samples: Samples) -> Trouble | None:
    """What is wrong with `samples`, mono at 16 kHz; None where nothing can be told."""
    largest = float(np.abs(samples).max(initial=0.0))
    if largest == 0.0:
        return None
    if _flat_share(samples, largest) > _LARGEST_FLAT_SHARE:
        return Trouble.TOO_LOUD
    seconds = len(samples) / SAMPLE_RATE
    holes, packets = _holes(samples, largest)
    if holes > _MOST_HOLES_A_SECOND * seconds or packets > max(1, _MOST_PACKETS_A_SECOND * seconds):
        return Trouble.BROKEN_UP
    return None


def _flat_share(samples: Samples, largest: float) -> float:
    """Of all samples, the share that lies in flat tops."""
    flat = 0
    for sign in (1, -1):
        begins, ends = _runs(sign * samples >= _TOP * largest)
        lengths = ends - begins
        flat += int(lengths[lengths >= _IN_A_ROW].sum())
    return flat / len(samples)


def _holes(samples: Samples, largest: float) -> tuple[int, int]:
    """Short stretches of exact zeros that sound surrounds: those of any length, and packets."""
    begins, ends = _runs(samples == 0)
    inside = (begins > 0) & (ends < len(samples))
    begins, ends = begins[inside], ends[inside]
    before, behind = samples[begins - 1], samples[ends]
    beside = np.minimum(np.abs(before), np.abs(behind)) / largest
    seconds = (ends - begins) / SAMPLE_RATE
    shortest, longest = _PACKET_S
    # A wave that passes through zero can have one sample there, with unlike signs around it.
    broken = (ends - begins > 1) | (before * behind > 0)
    holes = broken & (beside > _LOUD) & (seconds < longest)
    packets = (beside > _LOUD_BESIDE_PACKET) & (seconds >= shortest) & (seconds < longest)
    return int(holes.sum()), int(packets.sum())


def _runs(true: npt.NDArray[np.bool_]) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Where the runs of true values begin, and the places behind their ends."""
    edges = np.diff(np.concatenate([[False], true, [False]]).astype(np.int8))
    return np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
