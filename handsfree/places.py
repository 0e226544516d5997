"""Where the files that come with handsfree lie, and where those go that a person adds.

An installed package carries models and example tasks inside itself, in `carried`, which only the
wheel has (pyproject.toml puts it there). In a checkout they lie beside the package.
"""

import os
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_CARRIED = _PACKAGE / "carried"


def in_checkout() -> bool:
    """Whether this handsfree runs from its repository."""
    return not _CARRIED.is_dir()


def shipped_models() -> Path:
    """The catalogue and the models that come with it; or what HANDSFREE_MODELS names."""
    return _named_models() or _shipped("models")


def added_models() -> Path:
    """Where `handsfree models add` puts a model.

    That is the folder in HANDSFREE_MODELS, else `models` in a checkout, else the user's data as the
    platform has it, such as ~/.local/share/handsfree/models.
    """
    if named := _named_models():
        return named
    if in_checkout():
        return _shipped("models")
    from platformdirs import user_data_path

    return user_data_path("handsfree", appauthor=False) / "models"


def index_of_records(folder: Path) -> Path:
    """Where the index of the records in a folder is kept: the user's cache, for it is made anew."""
    from hashlib import sha256

    from platformdirs import user_cache_path

    name = sha256(os.fsencode(folder.resolve())).hexdigest()[:20]
    return user_cache_path("handsfree", appauthor=False) / "records" / f"{name}.duckdb"


def shipped_tasks() -> Path:
    """The example tasks."""
    return _shipped("tasks")


def _named_models() -> Path | None:
    named = os.environ.get("HANDSFREE_MODELS")
    return Path(named) if named else None


def _shipped(name: str) -> Path:
    return (_PACKAGE.parent if in_checkout() else _CARRIED) / name
