"""The sound of a real place, from a file."""

from datetime import timedelta
from pathlib import Path

from handsfree.acoustics.noise import Noise
from handsfree.acoustics.waves import decibels, power_of
from handsfree.errors import HandsfreeError
from handsfree.hearing.clips import read_clip

SHORTEST = timedelta(seconds=5)
LONGEST = timedelta(minutes=10)
_SILENT_DB = -70.0  # of full scale: a microphone that was off, or a cable that was out


class NoiseFileUnusable(HandsfreeError):
    """The file can be read, but holds nothing to rehearse in."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(
            f"{path}: {why}. Record {SHORTEST.total_seconds():.0f} seconds to "
            f"{LONGEST.total_seconds() / 60:.0f} minutes of the place at work, nobody speaking."
        )


def noise_in(path: Path) -> Noise:
    """The noise in a sound file of any rate and number of channels.

    Raises NoiseFileUnusable where it is silent or too short, and what `read_clip` raises.
    """
    audio = read_clip(path, longest=LONGEST)
    if audio.duration < SHORTEST:
        raise NoiseFileUnusable(path, f"lasts only {audio.duration.total_seconds():.1f} s")
    power = power_of(audio.samples)
    if not power or decibels(power) < _SILENT_DB:
        raise NoiseFileUnusable(path, "is silent")
    return Noise.of(path.name, audio.samples)
