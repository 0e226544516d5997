"""Whether reading an utterance while it is spoken pays: `python -m tests.benchmarks.streaming`.

While a person speaks, the reader reads what there is so far. What lies before a pause is kept, and
after the end only the rest is read. The alternative reads the whole at once. Compared on readings
of the tuning half, alone and two or three of one person in a row with half a second between them:
the time after the end of speech, and whether the same letters come out.
"""

import math
import statistics
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from itertools import groupby

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.ctc import Floats
from handsfree.hearing.opening import open_reader
from handsfree.hearing.reader import Reader
from tests.benchmarks.speech import TUNING, an4_clips, audio_of

_STEP_S = 0.5  # how often what was said so far is read
_PAUSE_FRAMES = 15  # 0.3 s of silence may be cut in
_FRAME = 320
_BLANK_LOG = math.log(0.99)


@dataclass(frozen=True, slots=True)
class Measured:
    """One utterance, read both ways."""

    seconds: float
    whole_ms: float
    pieces_ms: float
    same: bool


class Streamed:
    """An utterance that is read while it is spoken."""

    def __init__(self, reader: Reader) -> None:
        self._reader = reader
        self._kept: list[Floats] = []
        self._from = 0  # the first sample that is not kept

    def so_far(self, samples: Samples) -> None:
        """Read what there is; keep what lies before its last pause."""
        log_probs = self._read(samples)
        frames = (len(samples) - self._from) // _FRAME
        silent = log_probs[:frames, 0] > _BLANK_LOG
        cut = _last_pause(silent)
        if cut:
            self._kept.append(log_probs[:cut])
            self._from += cut * _FRAME

    def ended(self, samples: Samples) -> Floats:
        """The log-probabilities of the whole; only what is not kept is read."""
        return np.concatenate([*self._kept, self._read(samples)])

    def _read(self, samples: Samples) -> Floats:
        read = self._reader.read(Audio(samples[self._from :], timedelta(0)))
        if read is None:
            raise ValueError("longer than the reader hears")
        return read.log_probs


def _last_pause(silent: np.ndarray) -> int:
    """The middle of the last pause that has something spoken before and after it; 0: none."""
    last, at = 0, 0
    for is_silent, run in groupby(silent):
        length = len(list(run))
        if is_silent and length >= _PAUSE_FRAMES and at > 0 and at + length < len(silent):
            last = at + length // 2
        at += length
    return last


def _letters(reader: Reader, log_probs: Floats) -> str:
    # The space between two pieces is read in neither.
    return reader.greedy(log_probs).replace(" ", "")


def utterances() -> Iterator[tuple[str, Samples]]:
    """Readings, alone and in rows of up to 9.5 s."""
    clips = sorted(
        (clip for clip in an4_clips("reading") if clip.half == TUNING),
        key=lambda clip: (clip.speaker, clip.path.name),
    )
    pause = np.zeros(SAMPLE_RATE // 2, np.float32)
    for _, group in groupby(clips, lambda clip: clip.speaker):
        spoken = [audio_of(clip).samples for clip in group]
        for many in (1, 2, 3):
            row = np.concatenate([part for each in spoken[:many] for part in (each, pause)][:-1])
            if len(spoken) >= many and len(row) < 9.5 * SAMPLE_RATE:
                yield f"{many} in a row", row


def main() -> None:
    """Measure and print."""
    reader = open_reader()
    rows: dict[str, list[Measured]] = {}
    for name, samples in utterances():
        streamed = Streamed(reader)
        step = int(_STEP_S * SAMPLE_RATE)
        for end in range(step, len(samples), step):
            streamed.so_far(samples[:end])
        begun = time.perf_counter()
        in_pieces = streamed.ended(samples)
        middle = time.perf_counter()
        read = reader.read(Audio(samples, timedelta(0)))
        whole_ms = 1000 * (time.perf_counter() - middle)
        assert read is not None
        rows.setdefault(name, []).append(
            Measured(
                seconds=len(samples) / SAMPLE_RATE,
                whole_ms=whole_ms,
                pieces_ms=1000 * (middle - begun),
                same=_letters(reader, in_pieces) == _letters(reader, read.log_probs),
            )
        )
    print("| readings | utterances | mean s | at once, ms | in pieces, ms | same letters |")
    print("|" + " --- |" * 6)
    for name, measured in sorted(rows.items()):
        seconds = statistics.mean(each.seconds for each in measured)
        print(
            f"| {name} | {len(measured)} | {seconds:.1f} "
            f"| {statistics.median(each.whole_ms for each in measured):.0f} "
            f"| {statistics.median(each.pieces_ms for each in measured):.0f} "
            f"| {sum(each.same for each in measured)} |"
        )


if __name__ == "__main__":
    main()
