"""Sound from files."""

import io
import os
from datetime import timedelta
from pathlib import Path
from typing import BinaryIO

import numpy as np

from handsfree.errors import HandsfreeError
from handsfree.files.plain import open_plain
from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples

LONGEST = timedelta(seconds=30)  # what a listener can take in one piece
_RAW_SUFFIX = ".raw"
_BLOCK_FRAMES = 16_384
# A telephone has 8,000 samples a second, and no recorder more than the highest here. A header can
# state two thousand million, which would take a processor minutes to bring to 16 kHz.
_LOWEST_HZ, _HIGHEST_HZ = 4_000, 768_000
_LENGTH_NOT_STATED = 2**62  # libsndfile gives its largest count where a header states none


class ClipMissing(HandsfreeError):
    """There is no such file, or it cannot be opened."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(f"{path}: cannot be read ({reason}). Check the name and the folder.")


class ClipEmpty(HandsfreeError):
    """The file holds no sound."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"{path}: holds no sound. Record it again.")


class ClipNotSound(HandsfreeError):
    """The file is not a recording, or is a kind that is not read here."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(
            f"{path}: is not a recording that can be read ({reason}). "
            "Use WAV, FLAC, OGG, or .raw with 16-bit mono at 16 kHz."
        )


class ClipTooLong(HandsfreeError):
    """The recording is longer than what it is read for can be."""

    def __init__(self, path: Path, duration: timedelta, longest: timedelta) -> None:
        what, instead = (
            ("one utterance", "Cut it into one file for each utterance")
            if longest == LONGEST
            else ("it", "Cut it shorter")
        )
        super().__init__(
            f"{path}: lasts {duration.total_seconds():.0f} s, and {what} may last "
            f"{longest.total_seconds():.0f} s. {instead}."
        )


def read_clip(path: Path, started: timedelta = timedelta(0), longest: timedelta = LONGEST) -> Audio:
    """Read a recording of one utterance, or up to `longest`, of any rate and number of channels.

    Channels are mixed to mono by their mean, so a voice on one channel of two loses 6 dB and
    nothing clips. Any rate is converted to 16 kHz. A file named `.raw` has no header and is
    taken as 16-bit little-endian mono at 16 kHz.

    Raises ClipMissing, ClipEmpty, ClipNotSound or ClipTooLong, and nothing else.
    """
    try:
        with open_plain(path) as file:
            size = os.fstat(file.fileno()).st_size
            if size == 0:
                raise ClipEmpty(path)
            raw = path.suffix.lower() == _RAW_SUFFIX
            mono, rate = _raw(path, file, size, longest) if raw else _decoded(path, file, longest)
    except IsADirectoryError as error:
        raise ClipMissing(path, "it is a folder") from error
    except OSError as error:
        raise ClipMissing(path, error.strerror or str(error)) from error
    if len(mono) == 0:
        raise ClipEmpty(path)
    if rate != SAMPLE_RATE:
        mono = _resampled(mono, rate)
    return Audio(mono, started)


def _raw(path: Path, file: BinaryIO, size: int, longest: timedelta) -> tuple[Samples, int]:
    _check_length(path, size // 2, SAMPLE_RATE, longest)
    if size % 2:
        raise ClipNotSound(path, "16-bit samples need an even number of bytes")
    whole = np.frombuffer(file.read(size), "<i2").astype(np.float32)
    return whole / np.float32(32768), SAMPLE_RATE


class _Stream(io.BufferedReader):
    """What the library seeks in, through C: an error there would only be printed.

    Where it seeks to what cannot be, the place stays, and the library knows that from `tell`.
    """

    def seek(self, offset: int, whence: int = 0) -> int:
        try:
            return super().seek(offset, whence)
        except (OSError, ValueError):
            return self.tell()


def _decoded(path: Path, opened: BinaryIO, longest: timedelta) -> tuple[Samples, int]:
    import soundfile

    class Streamed(soundfile.SoundFile):  # type: ignore[misc]
        """Read from its beginning to its end, never sought in.

        GSM 6.10 cannot be, and a FLAC that states no length, as streamed ones do, fails there.
        """

        def seekable(self) -> bool:
            return False

    try:
        raw = io.FileIO(opened.fileno(), closefd=False)
        with _Stream(raw) as stream, Streamed(stream) as file, np.errstate(all="ignore"):
            rate = int(file.samplerate)
            if not _LOWEST_HZ <= rate <= _HIGHEST_HZ:
                raise ClipNotSound(path, f"nothing is recorded with {rate:,} samples a second")
            # Before it is decoded: an hour of sound would not fit in memory on a small computer.
            if file.frames < _LENGTH_NOT_STATED:
                _check_length(path, file.frames, rate, longest)
            # Block by block, because a header may claim a thousand channels.
            mono: list[Samples] = [np.zeros(0, np.float32)]
            frames = 0
            while len(block := file.read(_BLOCK_FRAMES, dtype="float32", always_2d=True)):
                mono.append(block.mean(axis=1, dtype=np.float32))
                frames += len(block)
                _check_length(path, frames, rate, longest)
    except soundfile.LibsndfileError as error:
        raise ClipNotSound(path, error.error_string.strip().rstrip(".")) from error
    except (OSError, HandsfreeError):
        raise
    except Exception as error:  # whatever else the library makes of a file that means harm
        raise ClipNotSound(path, str(error).strip().rstrip(".") or type(error).__name__) from error
    return np.concatenate(mono), rate


def _check_length(path: Path, frames: int, rate: int, longest: timedelta) -> None:
    duration = timedelta(seconds=frames / rate)
    if duration > longest:
        raise ClipTooLong(path, duration, longest)


def _resampled(mono: Samples, rate: int) -> Samples:
    import soxr

    # A not-a-number would spread over its neighbours in the filter.
    converted: Samples = soxr.resample(np.nan_to_num(mono), rate, SAMPLE_RATE)
    return converted.astype(np.float32)
