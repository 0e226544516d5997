"""Whisper's log-mel spectrogram in torch, equal to faster-whisper's FeatureExtractor to 1e-3."""

import math

import numpy as np
import torch
from torch import Tensor, nn
from torch.nn import functional

SAMPLE_RATE = 16_000  # Hz
WINDOW = 400  # samples, 25 ms
HOP = 160  # samples, 10 ms
_BANDS = 80


class LogMel(nn.Module):
    """Audio (B, samples) to log-mel (B, 80, samples / 160)."""

    window: Tensor
    filters: Tensor

    def __init__(self) -> None:
        super().__init__()
        self.register_buffer("window", torch.hann_window(WINDOW), persistent=False)
        self.register_buffer("filters", _slaney_filters(), persistent=False)

    def forward(self, audio: Tensor) -> Tensor:
        """Log power, at most 80 dB below the loudest of the clip, moved and scaled near -1 to 1."""
        # One hop of silence behind, as faster-whisper adds, so that its last frames are ours too.
        padded = functional.pad(audio, (0, HOP))
        spectrum = torch.stft(padded, WINDOW, HOP, window=self.window, return_complex=True)
        frames = audio.shape[-1] // HOP
        power = self.filters @ spectrum[..., :frames].abs().square()
        log = power.clamp(min=1e-10).log10()
        log = torch.maximum(log, log.amax(dim=(-2, -1), keepdim=True) - 8.0)
        return (log + 4.0) / 4.0


def extend_with_silence(mel: Tensor, frames: int) -> Tensor:
    """Pad (B, 80, n) to `frames` as if the audio had been padded with zeros."""
    floor = torch.clamp(mel.amax(dim=(-2, -1)) - 2.0, min=-1.5)  # 80 dB, and 1e-10, after scaling
    silence = floor[:, None, None].expand(-1, mel.shape[1], frames - mel.shape[2])
    return torch.cat([mel, silence], dim=2)


def _slaney_filters() -> Tensor:
    """Triangles of equal area (80, 201), linear below 1 kHz and logarithmic above."""
    top = 15 + 27 * math.log(8000 / 1000) / math.log(6.4)  # 8 kHz on this scale
    mels = np.linspace(0, top, _BANDS + 2)
    edges = np.where(
        mels < 15, mels * 200 / 3, 1000 * np.exp((mels - 15) * math.log(6.4) / 27)
    )  # Hz
    bins = np.fft.rfftfreq(WINDOW, 1 / SAMPLE_RATE)
    lower, centre, upper = edges[:-2, None], edges[1:-1, None], edges[2:, None]
    rising = (bins - lower) / (centre - lower)
    falling = (upper - bins) / (upper - centre)
    filters = np.maximum(0, np.minimum(rising, falling)) * 2 / (upper - lower)
    return torch.from_numpy(filters.astype(np.float32))
