"""The sound of each utterance, kept beside the log."""

import hashlib
import io
from dataclasses import dataclass
from pathlib import Path

from handsfree.hearing.audio import SAMPLE_RATE, Audio
from handsfree.record.files import Files, put

SUFFIX = ".flac"


@dataclass(frozen=True, slots=True)
class KeptClip:
    """A clip on the record."""

    sha256: str  # of the FLAC file, which is named by it


def encode_flac(audio: Audio) -> bytes:
    """`audio` as a 16-bit FLAC file."""
    import soundfile

    file = io.BytesIO()
    soundfile.write(file, audio.samples, SAMPLE_RATE, format="FLAC", subtype="PCM_16")
    return file.getvalue()


def name_of(content: bytes) -> str:
    """The SHA-256 of a file's content, in hexadecimal (FIPS 180-4)."""
    return hashlib.sha256(content).hexdigest()


def folder_of(folder: Path) -> Path:
    """Where the clips lie in the folder of the record."""
    return folder / "clips"


def path_of(folder: Path, sha256: str) -> Path:
    """Where the clip lies in the folder of the record."""
    return folder_of(folder) / f"{sha256}{SUFFIX}"


def keep(folder: Path, content: bytes, files: Files) -> KeptClip:
    """Put a clip in the folder of the record, under its own SHA-256; raises OSError.

    A clip has its name only when all of it is on disk, so a crash cannot leave half of one under a
    name that promises the whole.
    """
    clip = KeptClip(name_of(content))
    path = path_of(folder, clip.sha256)
    if not path.exists():
        put(files, path, content)
    return clip
