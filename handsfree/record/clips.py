"""The sound of each utterance, kept beside the log."""

import hashlib
import io
from dataclasses import dataclass
from pathlib import Path

from handsfree.hearing.audio import SAMPLE_RATE, Audio


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
    """The SHA-256 of a clip's file, in hexadecimal (FIPS 180-4)."""
    return hashlib.sha256(content).hexdigest()


def path_of(folder: Path, sha256: str) -> Path:
    """Where the clip lies in the folder of the record."""
    return folder / "clips" / f"{sha256}.flac"
