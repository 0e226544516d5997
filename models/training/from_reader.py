"""Take the weights out of a shipped reader, to train on from it.

    python3 models/training/from_reader.py --reader models/reader --out build/shipped

Writes `encoder.npz` and `head.npz` as train.py does. The matrices come back from int8, so they are
those that were trained to within half a step of their scale, which is all that is kept of them.
"""

import argparse
from pathlib import Path

import numpy as np
import onnx
from network import ENCODER_BLOCKS, HEAD_BLOCKS
from numpy.typing import NDArray
from onnx import numpy_helper

_IN_BLOCK = ("query_key_value", "attention_out", "feed_in", "feed_out")


def weights_of(reader: Path) -> dict[str, NDArray[np.float32]]:
    """Every weight of encoder and head by its name in network.py."""
    model = onnx.load(reader / "reader.onnx")
    arrays = {each.name: numpy_helper.to_array(each) for each in model.graph.initializer}
    blocks = [f"encoder.blocks.{number}" for number in range(ENCODER_BLOCKS)]
    blocks += [f"head.blocks.{number}" for number in range(HEAD_BLOCKS)]
    # Quantizing takes the matrices' names away, and keeps the order in which they are used.
    matrices = [f"{block}.{part}.weight" for block in blocks for part in _IN_BLOCK]
    matrices.append("head.characters.weight")
    used = [node.input[1] for node in model.graph.node if node.op_type == "MatMulInteger"]
    weights = {
        name: np.asarray(array, np.float32)
        for name, array in arrays.items()
        if name.startswith(("encoder.", "head.")) and name != "encoder.positions"
    }
    for name, quantized in zip(matrices, used, strict=True):
        kept = quantized.removesuffix("_quantized")
        steps = arrays[quantized].astype(np.float32) - arrays[f"{kept}_zero_point"]
        weights[name] = (steps * arrays[f"{kept}_scale"]).T
    return weights


def main() -> None:
    """Parse and write."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--reader", type=Path, required=True, help="folder with reader.onnx")
    parser.add_argument("--out", type=Path, required=True)
    arguments = parser.parse_args()
    weights = weights_of(arguments.reader)
    arguments.out.mkdir(parents=True, exist_ok=True)
    for part in ("encoder", "head"):
        own = {
            name.removeprefix(f"{part}."): array
            for name, array in weights.items()
            if name.startswith(f"{part}.")
        }
        np.savez(arguments.out / f"{part}.npz", **own)  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
