"""Turn trained weights into the shipped reader: one int8 ONNX file and its characters.

    python3 models/training/export.py --weights build/reader --out models/reader

The file takes log-mel of any even length up to 10 s. Its cost follows that length, but the features
are always those of 30 s: Whisper's decoder finds the end of speech by the silence behind it, and
repeats itself without. The features of silence depend on little but their place, so they are
averaged once, here, and put behind: the student's up to 10 s, the base model's from there.
"""

import argparse
import json
import tempfile
from pathlib import Path

import numpy as np
import onnx
import torch
from corpus import read_clips, read_recording
from mel import LogMel
from network import (
    CHARACTERS,
    MEL_BANDS,
    TEACHER_FRAMES,
    WIDTH,
    WINDOW_FRAMES,
    CharacterHead,
    Encoder,
)
from onnxruntime.quantization import QuantType, quantize_dynamic
from rich.progress import track
from torch import Tensor, nn

_FRAME = 320  # samples, 20 ms
_SETTLING = 25  # frames behind the last sound until the features are those of silence


class Reader(nn.Module):
    """Encoder and head as one: mel (1, 80, 2T) to features (1, 1500, 384), log_probs (1, T, 29)."""

    silence: Tensor

    def __init__(self, encoder: Encoder, head: CharacterHead) -> None:
        super().__init__()
        self.encoder = encoder
        self.head = head
        # In half precision, because it is a third of the room left in the file.
        silence = torch.zeros(1, TEACHER_FRAMES, WIDTH, dtype=torch.float16)
        self.register_buffer("silence", silence)

    def forward(self, mel: Tensor) -> tuple[Tensor, Tensor]:
        """Hear one clip."""
        features: Tensor = self.encoder(mel)
        behind = self.silence[:, features.shape[1] :].float()
        return torch.cat([features, behind], dim=1), self.head(features)

    def learn_silence(self, corpus: Path, base: Encoder, clips: int = 40) -> None:
        """Average the features, place by place, of the silence behind `clips` clips."""
        near = _silence(self.encoder, WINDOW_FRAMES, corpus, clips)
        far = _silence(base, TEACHER_FRAMES, corpus, clips // 5)
        self.silence.copy_(torch.cat([near, far[WINDOW_FRAMES:]])[None])


@torch.no_grad()
def _silence(encoder: Encoder, frames: int, corpus: Path, clips: int) -> Tensor:
    table = sorted(read_clips(corpus), key=lambda clip: clip.samples)
    table = [clip for clip in table if clip.samples < WINDOW_FRAMES * _FRAME // 2]
    log_mel = LogMel()
    total, count = torch.zeros(frames, WIDTH), torch.zeros(frames, 1)
    for clip in track(table[:: len(table) // clips], "learning silence"):
        sound = read_recording(corpus / clip.recording)[clip.start :][: clip.samples]
        audio = torch.zeros(1, frames * _FRAME)
        audio[0, : len(sound)] = torch.from_numpy(sound / np.float32(32768))
        quiet_from = len(sound) // _FRAME + _SETTLING
        total[quiet_from:] += encoder(log_mel(audio))[0, quiet_from:]
        count[quiet_from:] += 1
    first = int(count.nonzero()[0, 0])  # before it no clip has ended
    silence = total / count.clamp(min=1)
    silence[:first] = silence[first]
    return silence


def load(weights: Path) -> Reader:
    """Read `encoder.npz` and `head.npz` as train.py wrote them."""
    encoder, head = Encoder(), CharacterHead()
    for name, part in (("encoder", encoder), ("head", head)):
        with np.load(weights / f"{name}.npz") as arrays:
            state = {key: torch.from_numpy(arrays[key]).float() for key in arrays.files}
        part.load_state_dict(state)
    # Longer clips than the training window are not for this model; a third of the table is enough.
    encoder.positions = encoder.positions[:WINDOW_FRAMES].clone()
    return Reader(encoder, head).eval()


def export(reader: Reader, out: Path) -> None:
    """Write `reader.onnx` with int8 weights, and `characters.json`."""
    out.mkdir(parents=True, exist_ok=True)
    example = torch.zeros(1, MEL_BANDS, 600)
    with tempfile.TemporaryDirectory() as folder:
        exact = Path(folder) / "exact.onnx"
        torch.onnx.export(
            reader,
            (example,),
            exact,
            input_names=["mel"],
            output_names=["features", "log_probs"],
            dynamic_shapes={"mel": {2: 2 * torch.export.Dim("frames", min=5, max=WINDOW_FRAMES)}},
            dynamo=True,
            external_data=False,
        )
        # Matrices only: the two convolutions are small, first in line, and hurt most by rounding.
        quantize_dynamic(
            exact,
            out / "reader.onnx",
            op_types_to_quantize=["MatMul", "Gemm"],
            per_channel=True,
            weight_type=QuantType.QInt8,
        )
    onnx.checker.check_model(out / "reader.onnx")
    with (out / "characters.json").open("w", encoding="utf-8") as file:
        json.dump(CHARACTERS, file)
        file.write("\n")


def main() -> None:
    """Parse and export."""
    here = Path(__file__).resolve().parent
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--weights", type=Path, required=True, help="folder that train.py wrote")
    parser.add_argument("--corpus", type=Path, default=here / ".cache/corpus")
    parser.add_argument("--encoder", type=Path, default=here / ".cache/encoder.npz")
    parser.add_argument("--out", type=Path, default=here.parent / "reader")
    arguments = parser.parse_args()
    reader = load(arguments.weights)
    with np.load(arguments.encoder) as weights:
        base = Encoder().eval()
        base.load_base({name: weights[name] for name in weights.files})
    reader.learn_silence(arguments.corpus, base)
    export(reader, arguments.out)


if __name__ == "__main__":
    main()
