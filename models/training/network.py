"""The network: Whisper's encoder (tiny.en), and a CTC head of two more of its blocks.

Shapes: B clips, T encoder frames of 20 ms, 2T mel frames of 10 ms, 384 wide.
"""

import math

import numpy as np
import torch
from numpy.typing import NDArray
from torch import Tensor, nn
from torch.nn import functional

WIDTH = 384
HEADS = 6
ENCODER_BLOCKS = 4
HEAD_BLOCKS = 2
MEL_BANDS = 80
FRAME_S = 0.02
WINDOW_FRAMES = 500  # the student's longest window, 10 s
TEACHER_FRAMES = 1500  # the window that the base model was trained on, 30 s

# Index 0 is the CTC blank; the others are the characters themselves.
CHARACTERS = ("", " ", "'", *"abcdefghijklmnopqrstuvwxyz")


class Block(nn.Module):
    """One pre-norm transformer block: (B, T, 384) to (B, T, 384)."""

    def __init__(self) -> None:
        super().__init__()
        self.attention_norm = nn.LayerNorm(WIDTH)
        self.query_key_value = nn.Linear(WIDTH, 3 * WIDTH)
        self.attention_out = nn.Linear(WIDTH, WIDTH)
        self.feed_norm = nn.LayerNorm(WIDTH)
        self.feed_in = nn.Linear(WIDTH, 4 * WIDTH)
        self.feed_out = nn.Linear(4 * WIDTH, WIDTH)

    def forward(self, x: Tensor) -> Tensor:
        """Attend to all frames, then feed each forward."""
        batch, frames, _ = x.shape
        projected: Tensor = self.query_key_value(self.attention_norm(x))
        query, key, value = projected.view(batch, frames, 3, HEADS, -1).permute(2, 0, 3, 1, 4)
        seen = functional.scaled_dot_product_attention(query, key, value)
        x = x + self.attention_out(seen.transpose(1, 2).reshape(batch, frames, WIDTH))
        fed: Tensor = self.feed_out(functional.gelu(self.feed_in(self.feed_norm(x))))
        return x + fed


class Encoder(nn.Module):
    """Log-mel (B, 80, 2T) to features (B, T, 384) that Whisper's decoder reads."""

    positions: Tensor

    def __init__(self) -> None:
        super().__init__()
        self.conv1 = nn.Conv1d(MEL_BANDS, WIDTH, 3, padding=1)
        self.conv2 = nn.Conv1d(WIDTH, WIDTH, 3, stride=2, padding=1)
        self.blocks = nn.ModuleList(Block() for _ in range(ENCODER_BLOCKS))
        self.norm = nn.LayerNorm(WIDTH)
        self.register_buffer("positions", _sinusoids(TEACHER_FRAMES), persistent=False)

    def forward(self, mel: Tensor) -> Tensor:
        """Encode any even number of mel frames up to 3000."""
        x = functional.gelu(self.conv1(mel))
        x = functional.gelu(self.conv2(x)).transpose(1, 2)
        x = x + self.positions[: x.shape[1]]
        for block in self.blocks:
            x = block(x)
        normed: Tensor = self.norm(x)
        return normed

    def load_base(self, weights: dict[str, NDArray[np.float16]]) -> None:
        """Take the weights of the base model, named as CTranslate2 names them."""
        state: dict[str, Tensor] = {}
        for ours, theirs in _BASE_NAMES.items():
            state[ours] = torch.from_numpy(weights[theirs].astype(np.float32))
        self.load_state_dict(state)


class CharacterHead(nn.Module):
    """Features (B, T, 384) to log-probabilities of blank and characters (B, T, 29)."""

    def __init__(self) -> None:
        super().__init__()
        self.blocks = nn.ModuleList(Block() for _ in range(HEAD_BLOCKS))
        self.norm = nn.LayerNorm(WIDTH)
        self.characters = nn.Linear(WIDTH, len(CHARACTERS))

    def forward(self, features: Tensor) -> Tensor:
        """Name the character of each frame, or blank."""
        for block in self.blocks:
            features = block(features)
        scores: Tensor = self.characters(self.norm(features))
        return functional.log_softmax(scores.float(), dim=-1)


def greedy_text(best: NDArray[np.int64]) -> str:
    """Collapse the best index of each frame (T,) into text."""
    changed = np.concatenate([[True], best[1:] != best[:-1]])
    return " ".join("".join(CHARACTERS[index] for index in best[changed]).split())


def _sinusoids(frames: int) -> Tensor:
    """Whisper's positions (frames, 384): sines, then cosines, wavelengths 2 pi to 10000 * 2 pi."""
    steps = math.log(10_000) / (WIDTH // 2 - 1)
    rates = torch.exp(-steps * torch.arange(WIDTH // 2))
    angles = torch.arange(frames)[:, None] * rates[None, :]
    return torch.cat([angles.sin(), angles.cos()], dim=1)


def _base_names() -> dict[str, str]:
    pairs = {
        "attention_norm": "self_attention/layer_norm",
        "query_key_value": "self_attention/linear_0",
        "attention_out": "self_attention/linear_1",
        "feed_norm": "ffn/layer_norm",
        "feed_in": "ffn/linear_0",
        "feed_out": "ffn/linear_1",
    }
    modules = {"conv1": "conv1", "conv2": "conv2", "norm": "layer_norm"}
    for number in range(ENCODER_BLOCKS):
        modules |= {
            f"blocks.{number}.{ours}": f"layer_{number}/{theirs}" for ours, theirs in pairs.items()
        }
    names: dict[str, str] = {}
    for ours, theirs in modules.items():
        norm = theirs.endswith("layer_norm")
        names[f"{ours}.weight"] = f"{theirs}/{'gamma' if norm else 'weight'}"
        names[f"{ours}.bias"] = f"{theirs}/{'beta' if norm else 'bias'}"
    return names


_BASE_NAMES = _base_names()
