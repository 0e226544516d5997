"""What is known of a sound before anything is listened for, kept for another time.

After a phrase changed, some sounds are heard again that were heard before. They are still the same,
and so is what Whisper's encoder makes of the whole window, which is half of a hearing. What comes
back has the same bits, so that what is heard is the same with it and without: a file that does not
hold what was put there is none.
"""

import hashlib
import os
import secrets
from contextlib import suppress
from io import BytesIO
from pathlib import Path

import numpy as np

from handsfree.files.plain import plain_bytes
from handsfree.hearing.audio import Audio, Samples
from handsfree.hearing.transcriber import MODEL, Transcriber
from handsfree.hearing.whisper import Encoded

MOST_BYTES = 1_500_000_000
"""So much of the disk is taken at most; then what was not asked for the longest goes."""

_ROOM_FOR = 0.9  # of the most, when some has gone, so that it does not go one by one
_LOOKED_AFTER = 50_000_000  # bytes that one process keeps until it looks how much there is
_DIGEST = 32  # bytes of SHA-256, in front of what they are of
_LARGEST = 16_000_000
_FILE = ".taken-in"


class TakenIn:
    """Sounds, and what was made of them, in a folder that several processes may share."""

    def __init__(self, folder: Path, most_bytes: int = MOST_BYTES) -> None:
        """`folder` is made when the first is kept, and those beside it count as well.

        What is in it belongs to one state of code, libraries and models: others have another one.
        """
        self._folder = folder
        self._most_bytes = most_bytes
        self._unlooked = 0

    def find(self, name: str) -> Samples | None:
        """The array of that name with the bits that it had; None where it is not there."""
        path = self._path(name)
        try:
            content = plain_bytes(path, _LARGEST)
            if hashlib.sha256(content[_DIGEST:]).digest() != content[:_DIGEST]:
                return None
            found: Samples = np.load(BytesIO(content[_DIGEST:]), allow_pickle=False)
            os.utime(path)
        except (OSError, ValueError):
            return None
        return found

    def keep(self, name: str, array: Samples) -> None:
        """Keep it where that can be done; without it the next hearing only takes longer."""
        written = BytesIO()
        np.save(written, array, allow_pickle=False)
        content = written.getvalue()
        path = self._path(name)
        part = path.with_name(f".part-{secrets.token_hex(8)}{_FILE}")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            part.write_bytes(hashlib.sha256(content).digest() + content)
            part.replace(path)
        except OSError:
            with suppress(OSError):
                part.unlink(missing_ok=True)
            return
        self._unlooked += len(content)
        if self._unlooked > min(_LOOKED_AFTER, self._most_bytes):
            self._unlooked = 0
            self._make_room()

    def _make_room(self) -> None:
        files = []
        for path in self._folder.parent.rglob(f"*{_FILE}"):
            with suppress(OSError):  # another process was quicker
                status = path.lstat()
                files.append((status.st_mtime, status.st_size, path))
        taken = sum(size for _, size, _ in files)
        if taken <= self._most_bytes:
            return
        for _, size, path in sorted(files):
            if taken <= _ROOM_FOR * self._most_bytes:
                return
            with suppress(OSError):
                path.unlink(missing_ok=True)
            taken -= size

    def _path(self, name: str) -> Path:
        return self._folder / name[:2] / f"{name}{_FILE}"


class Recalling(Transcriber):
    """The transcriber, which encodes no sound that it knows."""

    def __init__(self, taken_in: TakenIn, at_once: int = 1) -> None:
        """See `Transcriber`."""
        super().__init__(MODEL, at_once)
        self._taken_in = taken_in

    def encode(self, audio: Audio) -> Encoded:
        """See `Transcriber.encode`; the same, bit by bit."""
        name = hashlib.sha256(audio.samples.tobytes()).hexdigest()
        known = self._taken_in.find(name)
        if known is not None:
            return self.take_over(known, audio)
        encoded = super().encode(audio)
        self._taken_in.keep(name, np.array(encoded.features))
        return encoded
