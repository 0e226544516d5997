"""A folder that looks like a model for Vosk, and cannot hear anything."""

import zipfile
from pathlib import Path

FILES = {
    "am/final.mdl": b"network",
    "conf/mfcc.conf": b"--num-mel-bins=40\n--high-freq=7600\n",
    "conf/model.conf": b"--beam=10.0\n",
    "graph/HCLr.fst": b"graph",
    "graph/Gr.fst": b"words",
    "graph/disambig_tid.int": b"1\n",
}


def model_folder(folder: Path, **changed: bytes | None) -> Path:
    """Write the files; `changed` by the last part of their names, None leaves one out."""
    for name, content in FILES.items():
        path = folder / name
        new = changed.get(path.stem, content)
        if new is not None:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(new)
    return folder


def zip_of(folder: Path, archive: Path) -> Path:
    """Pack a folder, under its name, as models are published."""
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as packed:
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                packed.write(path, path.relative_to(folder.parent))
    return archive
