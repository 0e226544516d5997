"""Forced alignment: where in a clip each word of its known text lies, by Viterbi over CTC."""

from itertools import pairwise

import numpy as np
import torch
from batches import Corpus, Piece
from corpus import Clip
from mel import SAMPLE_RATE, LogMel
from network import CHARACTERS, WINDOW_FRAMES, CharacterHead, Encoder
from numpy.typing import NDArray
from torch import Tensor

_FRAME = 320  # samples, 20 ms
_LOWEST_SCORE = -0.5  # mean log-probability a frame; below it text and sound do not fit
_SHORTEST_WORD = int(0.12 * SAMPLE_RATE)
_MARGIN = int(0.12 * SAMPLE_RATE)  # of sound kept before the first and behind the last word


def words_of(
    corpus: Corpus, clips: list[tuple[Clip, Piece]], encoder: Encoder, head: CharacterHead
) -> dict[str, list[Piece]]:
    """Cut the clips into words, by speaker. Clips that do not fit their text are left out."""
    device = corpus.samples.device
    mel = LogMel().to(device)
    longest = WINDOW_FRAMES * _FRAME
    usable = sorted(
        (
            (clip, piece)
            for clip, piece in clips
            if 0 < clip.samples <= longest and " " in piece.text
        ),
        key=lambda each: each[1].samples,
    )
    words: dict[str, list[Piece]] = {}
    for first in range(0, len(usable), 128):
        chunk = usable[first : first + 128]
        samples = -(-chunk[-1][1].samples // _FRAME) * _FRAME
        audio = torch.zeros(len(chunk), samples, device=device)
        for row, (_, piece) in enumerate(chunk):
            heard = corpus.samples[piece.start : piece.start + piece.samples]
            audio[row, : piece.samples] = heard.float() / 32768
        with torch.no_grad():
            log_probs = head(encoder(mel(audio)))
        frames = torch.tensor([-(-piece.samples // _FRAME) for _, piece in chunk])
        spans, scores = align(log_probs, frames, [piece.text for _, piece in chunk])
        for (clip, piece), span, score in zip(chunk, spans, scores, strict=True):
            if score > _LOWEST_SCORE:
                words.setdefault(clip.speaker, []).extend(_cut(piece, span, corpus))
    return words


def align(
    log_probs: Tensor, frames: Tensor, texts: list[str]
) -> tuple[list[NDArray[np.int64]], list[float]]:
    """First and last frame of every character: one (characters, 2) array a text, and its score.

    `log_probs` is (B, T, 29), `frames` (B,) says how many are real. The score is the mean
    log-probability a frame of the best path.
    """
    device = log_probs.device
    batch, most_frames, _ = log_probs.shape
    most_states = 2 * max(len(text) for text in texts) + 1
    states = torch.zeros(batch, most_states, dtype=torch.long)  # blank between all characters
    for row, text in enumerate(texts):
        states[row, 1 : 2 * len(text) : 2] = torch.tensor([CHARACTERS.index(c) for c in text])
    may_skip = torch.zeros(batch, most_states, dtype=torch.bool)
    may_skip[:, 2:] = (states[:, 2:] != 0) & (states[:, 2:] != states[:, :-2])
    states, may_skip, frames = states.to(device), may_skip.to(device), frames.to(device)

    never = float("-inf")
    score = torch.full((batch, most_states), never, device=device)
    score[:, :2] = log_probs[:, 0].gather(1, states[:, :2])
    steps = torch.zeros(batch, most_frames, most_states, dtype=torch.int8, device=device)
    for frame in range(1, most_frames):
        one_back = torch.nn.functional.pad(score, (1, 0), value=never)[:, :-1]
        two_back = torch.nn.functional.pad(score, (2, 0), value=never)[:, :-2]
        ways = torch.stack([score, one_back, two_back.masked_fill(~may_skip, never)])
        best, taken = ways.max(dim=0)
        going_on = (frame < frames)[:, None]
        score = torch.where(going_on, best + log_probs[:, frame].gather(1, states), score)
        steps[:, frame] = torch.where(going_on, taken, 0).to(torch.int8)

    lengths = torch.tensor([2 * len(text) + 1 for text in texts], device=device)
    ends = torch.stack([lengths - 1, lengths - 2], dim=1)
    final, which = score.gather(1, ends).max(dim=1)
    state = ends.gather(1, which[:, None]).squeeze(1)
    path = torch.zeros(batch, most_frames, dtype=torch.long, device=device)
    rows = torch.arange(batch, device=device)
    for frame in range(most_frames - 1, -1, -1):
        path[:, frame] = state
        state = state - steps[rows, frame, state].long()

    spans: list[NDArray[np.int64]] = []
    for row, (text, along) in enumerate(zip(texts, path.cpu().numpy(), strict=True)):
        along = along[: int(frames[row])]
        found = [np.flatnonzero(along == 2 * number + 1)[[0, -1]] for number in range(len(text))
                 if (along == 2 * number + 1).any()]  # fmt: skip
        # Too few frames for the text: no path, and a score of minus infinity.
        spans.append(np.array(found) if len(found) == len(text) else np.zeros((0, 2), np.int64))
    return spans, (final / frames).tolist()


def _cut(piece: Piece, span: NDArray[np.int64], corpus: Corpus) -> list[Piece]:
    """Cut between words at the quietest 10 ms between their nearest characters."""
    words = piece.text.split(" ")
    sound = corpus.samples_on_host[piece.start : piece.start + piece.samples].astype(np.float32)
    borders = [max(0, int(span[0, 0]) * _FRAME - _MARGIN)]
    character = 0
    for word in words[:-1]:
        character += len(word)
        low, high = int(span[character - 1, 1]) * _FRAME, (int(span[character + 1, 0]) + 1) * _FRAME
        power = np.convolve(sound[low:high] ** 2, np.ones(160), "valid")
        borders.append(low + 80 + int(power.argmin()) if power.size else (low + high) // 2)
        character += 1
    borders.append(min(piece.samples, (int(span[-1, 1]) + 1) * _FRAME + _MARGIN))
    return [
        Piece(piece.start + start, end - start, word)
        for word, (start, end) in zip(words, pairwise(borders), strict=True)
        # Letters run into each other; a cut between them is a guess.
        if len(word) > 1 and end - start >= _SHORTEST_WORD
    ]
