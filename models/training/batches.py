"""Batches put together on the GPU: clips joined, words respliced, speed changed, in one gather.

All audio of the corpus lies in GPU memory as one long row of samples. A row of a batch is a list of
pieces of it, each with its speed and the gap behind it; the gather reads all rows at once.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import torch
from corpus import Clip, read_clips, read_recording
from numpy.typing import NDArray
from texts import as_heard
from torch import Tensor

SAMPLE_RATE = 16_000  # Hz
_MOST_PIECES = 40
_EDGE = 64  # samples of fade at each cut, 4 ms, so that a splice does not click

# How often a piece is taken from each source, whatever its minutes: people first.
SHARE_OF_PIECES = {
    "an4": 0.34, "digits": 0.16, "kokoro": 0.26, "joe": 0.14, "flite": 0.06, "espeak": 0.04,
}  # fmt: skip
_ALONE = 0.15  # of the rows hold one piece: a lone word has no neighbours to be known by


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the corpus in samples, and what is said in it."""

    start: int
    samples: int
    text: str


@dataclass(frozen=True, slots=True)
class Batch:
    """Clean audio (B, samples), samples of it that hold content (B,), and the texts."""

    clean: Tensor
    content: Tensor
    texts: tuple[str, ...]


class Corpus:
    """All audio in memory of `device`, and its clips by source and speaker."""

    def __init__(self, folder: Path, device: torch.device) -> None:
        self.clips: list[tuple[Clip, Piece]] = []
        offset: dict[str, int] = {}
        recordings: list[NDArray[np.int16]] = []
        position = 0
        for clip in read_clips(folder):
            if clip.recording not in offset:
                recordings.append(read_recording(folder / clip.recording))
                offset[clip.recording] = position
                position += len(recordings[-1])
            text = as_heard(clip.text)
            piece = Piece(offset[clip.recording] + clip.start, clip.samples, text)
            self.clips.append((clip, piece))
        self.samples_on_host = np.concatenate(recordings)
        self.samples = torch.from_numpy(self.samples_on_host).to(device)

    def without(self, speakers: set[str]) -> list[tuple[Clip, Piece]]:
        """Clips of all other speakers."""
        return [(clip, piece) for clip, piece in self.clips if clip.speaker not in speakers]


class Mixer:
    """Draws batches; equal seeds and equal calls give equal batches."""

    def __init__(self, corpus: Corpus, clips: list[tuple[Clip, Piece]], seed: int) -> None:
        self._corpus = corpus
        self._random = np.random.default_rng(seed)
        self._clips: dict[str, list[Piece]] = {}
        self._words: dict[str, list[Piece]] = {}
        for clip, piece in clips:
            self._clips.setdefault(clip.speaker, []).append(piece)
        self._people: dict[str, list[str]] = {}
        for speaker in self._clips:
            self._people.setdefault(speaker.split("-")[0], []).append(speaker)
        present = [source for source in SHARE_OF_PIECES if source in self._people]
        shares = np.array([SHARE_OF_PIECES[source] for source in present])
        self._sources, self._shares = present, shares / shares.sum()

    def use_words(self, words: dict[str, list[Piece]]) -> None:
        """From now on also splice these words, by speaker."""
        self._words = {speaker: each for speaker, each in words.items() if len(each) >= 12}

    def batch(self, rows: int, window_s: float) -> Batch:
        """Rows of up to `window_s`: whole clips joined, or words of one speaker spliced."""
        samples = int(window_s * SAMPLE_RATE)
        table = np.zeros((rows, _MOST_PIECES, 4), np.float32)  # begin, length, speed, gain
        sources = np.zeros((rows, _MOST_PIECES), np.int64)
        table[:, :, 0] = samples  # unused pieces begin behind the end
        content = np.zeros(rows, np.float32)
        texts: list[str] = []
        for row in range(rows):
            said: list[str] = []
            position = self._random.uniform(0.0, 0.5) * SAMPLE_RATE
            room_left = self._random.uniform(0.25, 1.0) * (samples - position)
            if self._random.random() < _ALONE:
                room_left = 0.0
            for number, (piece, speed, gain, gap) in enumerate(self._pieces()):
                length = piece.samples / speed
                if number == _MOST_PIECES or length > (room_left if said else samples - position):
                    break
                table[row, number] = position, length, speed, gain
                sources[row, number] = piece.start
                said.append(piece.text)
                content[row] = position + length
                position += length + gap
                room_left -= length + gap
            texts.append(" ".join(said))
        device = self._corpus.samples.device
        clean = self._gather(torch.from_numpy(table).to(device), torch.from_numpy(sources), samples)
        return Batch(clean, torch.from_numpy(content).to(device), tuple(texts))

    def _pieces(self) -> Iterator[tuple[Piece, float, float, float]]:
        """Pieces of one speaker without end: (piece, speed, gain, gap behind in samples)."""
        random = self._random
        source = random.choice(self._sources, p=self._shares)
        speaker = str(random.choice(self._people[source]))
        spliced = speaker in self._words and random.random() < 0.4
        pool = self._words[speaker] if spliced else self._clips[speaker]
        speed = 2 ** random.uniform(-0.415, 0.379)  # 0.75 to 1.3
        widest_gap = random.choice((0.02, 0.15, 0.5) if spliced else (0.1, 0.4, 1.0))
        piece = pool[random.integers(len(pool))]
        while True:
            own_speed = speed * 2 ** random.uniform(-0.1, 0.1)
            own_gain = 10 ** random.uniform(-0.15, 0.15)
            yield piece, own_speed, own_gain, random.uniform(0, widest_gap) * SAMPLE_RATE
            # The same digit twice is what recognizers lose.
            if not spliced or random.random() > 0.15:
                piece = pool[random.integers(len(pool))]

    def _gather(self, table: Tensor, sources: Tensor, samples: int) -> Tensor:
        begin, length, speed, gain = table.unbind(dim=2)
        device = table.device
        time = torch.arange(samples, device=device, dtype=torch.float32)
        rows = time.expand(table.shape[0], -1).contiguous()
        piece = (torch.searchsorted(begin.contiguous(), rows, right=True) - 1).clamp(min=0)
        inside = rows - begin.gather(1, piece)
        length_here = length.gather(1, piece)
        read = inside * speed.gather(1, piece)
        whole = read.floor()
        between = read - whole
        source = sources.to(device).gather(1, piece) + whole.long()
        source = source.clamp(0, len(self._corpus.samples) - 2)
        low, high = self._corpus.samples[source].float(), self._corpus.samples[source + 1].float()
        audio = (low + (high - low) * between) / 32768
        edge = torch.minimum(inside, length_here - inside) / _EDGE
        audio = audio * edge.clamp(0, 1) * gain.gather(1, piece)
        active = (audio.abs() > 0.005).sum(dim=1, keepdim=True).clamp(min=1)
        level = (audio.square().sum(dim=1, keepdim=True) / active).sqrt()
        return 0.1 * audio / level.clamp(min=1e-4)  # -20 dB of full scale
