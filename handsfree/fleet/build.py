"""What a process computes with: code and models, by their SHA-256, and the libraries.

Two processes find the same only with the same of each. So a worker that has others does nothing,
and is told by name. Processors of another make may still round otherwise in the last place.
"""

import hashlib
import shutil
from dataclasses import dataclass, replace
from functools import cache
from importlib import metadata

from handsfree import __version__
from handsfree.errors import HandsfreeError
from handsfree.files.plain import plain_bytes
from handsfree.fleet.code import PACKAGE, deciding_files
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.models.installed import chosen, installed, verified_folder

_LIBRARIES = (
    *("ctranslate2", "faster-whisper", "numpy", "onnxruntime", "scipy", "soundfile", "soxr"),
    *("tokenizers", "vosk"),
)

_MISSING = "not installed"
_A_PROGRAM = "a program of that name"


@dataclass(frozen=True, slots=True)
class Build:
    """The code and the models of one process, as they lie there now."""

    version: str
    code: str  # SHA-256 over every file of handsfree that decides something
    models: tuple[tuple[str, str], ...]  # each file, as "model/file", with its SHA-256
    libraries: tuple[tuple[str, str], ...] = ()  # those that compute, with their versions
    needed: tuple[tuple[str, str], ...] = ()  # packages that these jobs need besides
    problems: tuple[str, ...] = ()  # models that cannot be listened with, and why


@cache
def build_here() -> Build:
    """What this process computes with; every file is read once."""
    models: dict[str, str] = {}
    problems: list[str] = []
    try:
        for entry in read_catalogue().model:
            if entry.archive is not None:
                continue
            try:
                entry.verified_files()
            except HandsfreeError as error:
                problems.append(str(error))
            else:
                models |= {f"{entry.name}/{file}": each for file, each in entry.sha256.items()}
        also = chosen()
        if also is not None:
            verified_folder(also)
            models |= {f"{also}/{file}": each for file, each in installed(also).sha256.items()}
    except HandsfreeError as error:
        problems.append(str(error))
    files = tuple(sorted(models.items()))
    return Build(__version__, _code(), files, libraries_here(), problems=tuple(problems))


def build_with(packages: tuple[str, ...]) -> Build:
    """What this process computes with, where jobs need these packages or programs besides."""
    return replace(build_here(), needed=tuple((each, _version(each)) for each in packages))


@cache
def libraries_here() -> tuple[tuple[str, str], ...]:
    """The libraries that compute what is heard, with their versions."""
    return tuple((name, _version(name)) for name in _LIBRARIES)


def why_unfit(there: Build, here: Build) -> str | None:
    """Why what a worker finds cannot be counted with what is found here; None: it can."""
    if there.problems:
        return there.problems[0]
    if there.version != here.version:
        return f"it has handsfree {there.version}, and here is {here.version}"
    if there.code != here.code:
        return f"it has another handsfree {there.version} than this one: other code"
    both = ((there.libraries, here.libraries), (there.needed, here.needed))
    for theirs_of, ours_of in both:
        for (name, has), (_, wanted) in zip(theirs_of, ours_of, strict=True):
            if has == _MISSING != wanted:
                return f"it is without {name}, and here is {wanted}"
            if has != wanted:
                return f"it has {name} {has}, and here is {wanted}"
    ours, theirs = dict(here.models), dict(there.models)
    for file in sorted(ours.keys() | theirs.keys()):
        if file not in theirs:
            return f"it is without the model file {file}"
        if file not in ours:
            return f"it listens with {file}, which is not listened with here"
        if ours[file] != theirs[file]:
            return f"its {file} has SHA-256 {theirs[file]}, and here it is {ours[file]}"
    return None


def _version(name: str) -> str:
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return _A_PROGRAM if shutil.which(name) else _MISSING


def _code() -> str:
    digest = hashlib.sha256()
    for path in deciding_files():
        digest.update(path.relative_to(PACKAGE).as_posix().encode())
        digest.update(hashlib.sha256(plain_bytes(path)).digest())
    return digest.hexdigest()
