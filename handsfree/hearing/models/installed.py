"""The models that were added, whether they are as they were, and which one listens.

Each is a folder with a record of every file's SHA-256 beside the files. The choice is one line in
`listening.toml`. Both are ignored by git.
"""

import hashlib
import tomllib
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from handsfree.errors import HandsfreeError
from handsfree.files.plain import open_plain, plain_bytes
from handsfree.places import added_models

RECORD = "installed.json"
CHOICE = "listening.toml"
NAME_PATTERN = r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}"
_BLOCK = 1 << 20  # bytes

Sha256 = Annotated[str, Field(pattern="^[0-9a-f]{64}$")]


class NotInstalled(HandsfreeError):
    """No such model was added."""

    def __init__(self, name: str, known: tuple[str, ...]) -> None:
        there = f"There is: {', '.join(known)}." if known else "None is."
        super().__init__(
            f"No speech model {name} is installed. {there} Add it with `handsfree models add`."
        )


class InstallationUnreadable(HandsfreeError):
    """What was written down when a model was added cannot be understood."""

    def __init__(self, path: Path, problem: str) -> None:
        super().__init__(f"{path}: {problem}. Remove {path.parent}, and add the model again.")


class InstalledAltered(HandsfreeError):
    """An installed model is not what was added."""

    def __init__(self, name: str, folder: Path, differences: tuple[str, ...]) -> None:
        super().__init__(
            f"Speech model {name}: {'; '.join(differences)}. It is not used. "
            f"Remove {folder}, and add the model again."
        )


class ChoiceBroken(HandsfreeError):
    """Which model listens cannot be told."""

    def __init__(self, path: Path, problem: str) -> None:
        super().__init__(f"{path}: {problem}. Choose again with `handsfree models use`.")


class InstalledModel(BaseModel):
    """A model as it was added."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: Annotated[str, Field(pattern=f"^{NAME_PATTERN}$")]
    engine: str
    source: str  # the folder, the file or the address that it came from
    archive_sha256: Sha256 | None  # of the file; None: it came from a folder
    size_bytes: int  # of all files together
    sha256: Annotated[dict[str, Sha256], Field(min_length=1)]  # by path in the folder

    @property
    def folder(self) -> Path:
        """Where the files are."""
        return added_models() / self.name

    def differences(self) -> tuple[str, ...]:
        """What is not as it was added; empty where all is."""
        found = [
            f"{path} was not added with it"
            for path in _files_in(self.folder)
            if path not in self.sha256 and path != RECORD
        ]
        for path, wanted in self.sha256.items():
            try:
                now = sha256_of(self.folder / path)
            except OSError as error:
                found.append(f"{path} cannot be read ({error.strerror})")
            else:
                if now != wanted:
                    found.append(f"{path} has SHA-256 {now} and was added with {wanted}")
        return tuple(found)


def sha256_of(path: Path) -> str:
    """The SHA-256 of a file, in hexadecimal; raises OSError, also where it is no plain file."""
    digest = hashlib.sha256()
    with open_plain(path) as file:
        while block := file.read(_BLOCK):
            digest.update(block)
    return digest.hexdigest()


def installed_models() -> tuple[InstalledModel, ...]:
    """Every model that was added, by name; raises InstallationUnreadable."""
    return tuple(_read(path) for path in sorted(added_models().glob(f"*/{RECORD}")))


def installed(name: str) -> InstalledModel:
    """The model called `name`; raises NotInstalled or InstallationUnreadable."""
    everything = installed_models()
    for each in everything:
        if each.name == name:
            return each
    raise NotInstalled(name, tuple(each.name for each in everything))


def verified_folder(name: str) -> Path:
    """The folder of an installed model, every file of it as it was added.

    The library reads the files itself, so they could still change between this check and the use.
    Raises NotInstalled, InstallationUnreadable or InstalledAltered.
    """
    model = installed(name)
    if differences := model.differences():
        raise InstalledAltered(name, model.folder, differences)
    return model.folder


def has_choice() -> bool:
    """Whether anything was chosen yet, be it that no installed model listens."""
    return (added_models() / CHOICE).exists()


def chosen() -> str | None:
    """The installed model that listens beside the embedded ones; raises ChoiceBroken."""
    path = added_models() / CHOICE
    try:
        settings = tomllib.loads(plain_bytes(path).decode())
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        raise ChoiceBroken(path, f"cannot be read ({error})") from error
    if not settings.keys() <= {"also"}:
        raise ChoiceBroken(path, f"has {', '.join(sorted(settings))}, and only `also` is known")
    name = settings.get("also")
    if name is not None and not isinstance(name, str):
        raise ChoiceBroken(path, f"`also` is the name of a model, not {name!r}")
    return name


def choose(name: str | None) -> None:
    """Let an installed model listen beside the embedded ones; None: let none.

    Raises NotInstalled, InstallationUnreadable or ChoiceBroken.
    """
    line = f'also = "{installed(name).name}"\n' if name is not None else ""
    text = "# Which installed model listens beside the embedded ones; none without a line.\n" + line
    path = added_models() / CHOICE
    # Moved into place whole: a file half written would be no choice.
    new = path.with_suffix(".new")
    try:
        new.write_text(text, encoding="utf-8")
        new.replace(path)
    except OSError as error:
        raise ChoiceBroken(path, f"cannot be written ({error.strerror})") from error


def _read(path: Path) -> InstalledModel:
    try:
        model = InstalledModel.model_validate_json(plain_bytes(path))
    except OSError as error:
        raise InstallationUnreadable(path, f"cannot be read ({error.strerror})") from error
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "it"
        raise InstallationUnreadable(path, f"{where}: {first['msg']}") from error
    if model.name != path.parent.name:
        raise InstallationUnreadable(
            path, f"it is of {model.name}, and the folder is {path.parent.name}"
        )
    return model


def _files_in(folder: Path) -> tuple[str, ...]:
    """Every file and link below, as paths with slashes."""
    return tuple(
        each.relative_to(folder).as_posix()
        for each in sorted(folder.rglob("*"))
        if each.is_symlink() or not each.is_dir()
    )
