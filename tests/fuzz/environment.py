"""A models folder of its own, for as long as something is added to it."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from handsfree.places import shipped_models


@contextmanager
def models_folder(folder: Path) -> Iterator[None]:
    """Let `folder` be where models are added; what was added is removed afterwards."""
    folder.mkdir()
    shutil.copy(shipped_models() / "catalogue.toml", folder)
    before = os.environ.get("HANDSFREE_MODELS")
    os.environ["HANDSFREE_MODELS"] = str(folder)
    try:
        yield
    finally:
        if before is None:
            del os.environ["HANDSFREE_MODELS"]
        else:
            os.environ["HANDSFREE_MODELS"] = before
        shutil.rmtree(folder)
