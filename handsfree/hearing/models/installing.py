"""Adding a model for Vosk: whole, checked and tried, or not at all."""

import re
import struct
import tempfile
import urllib.error
import urllib.request
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import IO, BinaryIO

from handsfree.errors import HandsfreeError
from handsfree.files.plain import open_plain
from handsfree.hearing.models.catalogue import Archive, ModelEntry, read_catalogue
from handsfree.hearing.models.installed import (
    NAME_PATTERN,
    RECORD,
    InstalledModel,
    choose,
    has_choice,
    sha256_of,
)
from handsfree.hearing.models.unpacking import (
    NotStored,
    PackageBroken,
    Progress,
    below_the_one_folder,
    members_of_folder,
    members_of_zip,
    store,
)
from handsfree.hearing.vosk.listener import check_language
from handsfree.hearing.vosk.model import check_layout
from handsfree.hearing.vosk.trial import words_missing
from handsfree.places import added_models
from handsfree.words.phrases import Identity, PhraseSet, Reading, Standard
from handsfree.words.standard import StandardWord

_ENGINE = "Vosk"
_STAGED = "model"  # the folder that it is put together in
_PATIENCE_S = 30  # for the next bytes of an address
_BLOCK = 1 << 16

# What can be said in any task: every number, unit, letter and standard word.
EVERYWHERE = PhraseSet(
    (
        Reading((), "psi", fractions=True, repeats=True),
        Identity((), repeats=True),
        *(Standard(word) for word in StandardWord),
    )
)

# A trial gets (name, folder, words) and returns the words that the model does not know.
Trial = Callable[[str, Path, frozenset[str]], tuple[str, ...]]
OpenAddress = Callable[[str], IO[bytes]]


class NoSource(HandsfreeError):
    """There is nothing to add."""

    exit_code = 2

    def __init__(self, source: str, known: tuple[str, ...]) -> None:
        super().__init__(
            f"{source}: is no folder, no file, and no model or address in the catalogue. "
            f"The catalogue can fetch: {', '.join(known) or 'none'}. Any other model: fetch it "
            "yourself, and name the folder or the zip file."
        )


class BadName(HandsfreeError):
    """A model cannot be called that."""

    exit_code = 2

    def __init__(self, name: str) -> None:
        super().__init__(
            f"A speech model cannot be called {name!r}: use letters, figures, dots, dashes, at "
            "most 64. Name it with --name."
        )


class NameTaken(HandsfreeError):
    """There is something of that name."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"{folder} is there already. Remove it first, or name the new one with --name."
        )


class ArchiveAltered(HandsfreeError):
    """The archive is not the one that the catalogue means."""

    def __init__(self, source: str, found: str, wanted: str) -> None:
        super().__init__(
            f"{source}: has SHA-256 {found} and the catalogue says {wanted}, so it is damaged or "
            "another file. Nothing was added. Fetch it again."
        )


class NotFetched(HandsfreeError):
    """The address gave no model."""

    def __init__(self, address: str, reason: str) -> None:
        super().__init__(
            f"{address}: cannot be fetched ({reason}). Nothing was added. Without a network, bring "
            "the zip file, and name that."
        )


@dataclass(frozen=True, slots=True)
class Added:
    """What came of it."""

    model: InstalledModel
    missing: tuple[str, ...]  # words that can be said in any task and that it does not know
    listens: bool  # it is the first, so it was chosen to listen


def add_model(
    source: str,
    name: str | None = None,
    progress: Progress = lambda _done, _whole: None,
    trial: Trial = words_missing,
    open_address: OpenAddress | None = None,
) -> Added:
    """Add a folder, a zip file, or what the catalogue has under a name or an address.

    A zip that is named as one of the catalogue's must have its SHA-256. The model is tried in a
    process of its own before it is in its place. Raises the errors of this module, of `unpacking`,
    of `vosk.model` and `catalogue`, or OtherLanguage; then nothing was added.
    """
    entries = [each for each in read_catalogue().model if each.archive is not None]
    path, is_there = _named(source)
    entry = next((each for each in entries if source in (each.name, _archive(each).address)), None)
    if not is_there and entry is None:
        raise NoSource(source, tuple(each.name for each in entries))
    models = added_models()
    if name is not None:
        _check_name(models, name)
    try:
        models.mkdir(parents=True, exist_ok=True)
        # In the same folder, so that the last step is one rename; gone whatever happens.
        work = tempfile.TemporaryDirectory(dir=models, prefix=".adding-")
    except OSError as error:
        raise NotStored(models, error.strerror or str(error)) from error
    with work:
        if path.is_dir():
            own, sha256, digest = _copied(path, Path(work.name), progress)
        else:
            if not is_there:
                assert entry is not None  # else there was no source
                _check_name(models, name or entry.name)
                path = Path(work.name) / f"{entry.name}.zip"
                _fetch(_archive(entry), path, open_address or _open_address, progress)
            digest = _checked(path, source, entries)
            own, sha256 = _unpacked(path, Path(work.name), progress)
        staged = Path(work.name) / _STAGED
        called = name or own
        _check_name(models, called)
        check_layout(staged, source)
        missing = trial(called, staged, EVERYWHERE.vocabulary)
        check_language(called, missing)
        model = InstalledModel(
            name=called,
            engine=_ENGINE,
            source=source,
            archive_sha256=digest,
            size_bytes=sum((staged / each).stat().st_size for each in sha256),
            sha256=sha256,
        )
        try:
            (staged / RECORD).write_text(model.model_dump_json(indent=1) + "\n", encoding="utf-8")
            staged.rename(models / called)
        except OSError as error:
            raise NotStored(models / called, error.strerror or str(error)) from error
    listens = not has_choice()
    if listens:
        choose(called)
    return Added(model, missing, listens)


def _named(source: str) -> tuple[Path, bool]:
    """The path that a person may mean, and whether there is something."""
    try:
        path = Path(source).expanduser()
        return path, path.exists()
    except (OSError, RuntimeError):  # a name that is too long, or the home of nobody
        return Path(source), False


def _check_name(models: Path, name: str) -> None:
    if re.fullmatch(NAME_PATTERN, name) is None:
        raise BadName(name)
    if (models / name).exists():
        raise NameTaken(models / name)


def _copied(path: Path, work: Path, progress: Progress) -> tuple[str, dict[str, str], None]:
    # One that was added before has a record, which is not of this time.
    members = [each for each in members_of_folder(path) if str(each.path) != RECORD]
    return path.resolve().name, store(path, members, work / _STAGED, progress), None


def _unpacked(path: Path, work: Path, progress: Progress) -> tuple[str, dict[str, str]]:
    try:
        file = open_plain(path)
    except OSError as error:
        raise PackageBroken(path, error.strerror or str(error)) from error
    with file, _read_as_zip(file, path) as archive:
        top, members = below_the_one_folder(members_of_zip(archive, path))
        return top or path.stem, store(path, members, work / _STAGED, progress)


def _read_as_zip(file: BinaryIO, path: Path) -> zipfile.ZipFile:
    try:
        return zipfile.ZipFile(file)
    # A version of the format that is not known, or a directory that contradicts itself.
    except (OSError, zipfile.BadZipFile, ValueError, RuntimeError, struct.error) as error:
        raise PackageBroken(path, str(error)) from error


def _checked(path: Path, source: str, entries: list[ModelEntry]) -> str:
    """The SHA-256 of a file; ArchiveAltered where the catalogue has another for its name."""
    try:
        found = sha256_of(path)
    except OSError as error:
        raise PackageBroken(path, error.strerror or str(error)) from error
    for entry in entries:
        if entry.name == path.stem and _archive(entry).sha256 != found:
            raise ArchiveAltered(source, found, _archive(entry).sha256)
    return found


def _fetch(archive: Archive, path: Path, open_address: OpenAddress, progress: Progress) -> None:
    done = 0
    try:
        with open_address(archive.address) as answer, path.open("xb") as file:
            while block := answer.read(_BLOCK):
                done += len(block)
                if done > archive.size_bytes:
                    raise NotFetched(archive.address, "it sends more than the catalogue says")
                file.write(block)
                progress(done, archive.size_bytes)
    except (OSError, ValueError, urllib.error.URLError) as error:
        raise NotFetched(archive.address, str(getattr(error, "reason", error))) from error


def _open_address(address: str) -> IO[bytes]:
    answer: IO[bytes] = urllib.request.urlopen(address, timeout=_PATIENCE_S)
    return answer


def _archive(entry: ModelEntry) -> Archive:
    assert entry.archive is not None  # only such entries are looked at
    return entry.archive
