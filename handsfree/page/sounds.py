"""The sounds of a record, for a page: no more of them than people can have said.

A small file can hold hours of silence, and a record can hold many such files. So what is read, what
is decoded at once, and what is decoded in all are bounded; what is left out says why.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.files.plain import plain_bytes
from handsfree.record.clips import name_of, path_of
from handsfree.record.entries import LoggedEntry

if TYPE_CHECKING:
    from handsfree.hearing.audio import Samples

# No utterance is longer (`hearing.clips.LONGEST`), and as 16 bits at 16 kHz it is below 1 MB.
LONGEST = timedelta(seconds=30)
_MOST_BYTES_OF_ONE = 2_000_000
# Four hours of talk without a pause; more than that is not said in any shift.
MOST_BYTES = 256_000_000
# Of pictures and voices, which take the time of whoever waits for the page.
MOST_DECODED = timedelta(hours=2)


@dataclass(frozen=True, slots=True)
class Sounds:
    """The sounds of a record."""

    clips: Mapping[str, bytes]  # FLAC files by their SHA-256
    why_not: Mapping[str, str]  # of each that is not among them


def sounds_of(folder: Path, entries: Iterable[LoggedEntry]) -> Sounds:
    """The sounds that are there and are what was heard: no other one is played."""
    found: dict[str, bytes] = {}
    why_not: dict[str, str] = {}
    left = MOST_BYTES
    for clip in dict.fromkeys(each.clip for each in entries if each.clip is not None):
        try:
            most = min(_MOST_BYTES_OF_ONE, left)
            content = plain_bytes(path_of(folder, clip), most, follow=False)
        except FileNotFoundError:
            why_not[clip] = "sound removed"
        except OSError as error:
            why = error.strerror or str(error)
            why_not[clip] = f"sound left out: it cannot be read, or is too much for a page ({why})"
        else:
            if name_of(content) == clip:
                found[clip] = content
                left -= len(content)
            else:
                why_not[clip] = "sound left out: it is not what was heard"
    return Sounds(found, why_not)


class Decoding:
    """Decodes sounds for one purpose, up to a length in all."""

    def __init__(self, most: timedelta = MOST_DECODED) -> None:
        self._left = most

    def samples(self, content: bytes) -> "Samples | None":
        """The sound of a clip; None where it is none of a record's, or where it has been enough."""
        import soundfile

        from handsfree.hearing.audio import SAMPLE_RATE

        if self._left <= timedelta(0) or not content.startswith(b"fLaC"):
            return None
        most = int(LONGEST.total_seconds() * SAMPLE_RATE)
        self._left -= LONGEST  # whatever comes of it, it may take the time of so much
        try:
            with soundfile.SoundFile(BytesIO(content)) as file:
                if file.samplerate != SAMPLE_RATE or file.channels != 1:
                    return None
                samples: Samples = file.read(most + 1, dtype="float32")
        except (soundfile.LibsndfileError, OSError, ValueError, RuntimeError):
            return None
        if len(samples) > most:
            return None
        self._left += LONGEST - timedelta(seconds=len(samples) / SAMPLE_RATE)
        return samples
