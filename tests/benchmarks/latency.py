"""How quick the listeners are: `python -m tests.benchmarks.latency`, on a machine at rest.

Prints a Markdown block for RESULTS.md: milliseconds from the end of an utterance to its meaning.
"""

import os
import statistics
import time
from collections.abc import Sequence
from datetime import UTC, datetime

from rich.console import Console
from rich.progress import track

from handsfree.hearing.audio import Audio
from handsfree.hearing.opening import open_recognizer
from handsfree.hearing.recognizer import Recognizer
from handsfree.hearing.transcriber import Transcriber
from handsfree.words.phrases import PhraseSet
from tests.benchmarks.situations import COMMANDS, NUMBER
from tests.benchmarks.speech import REPORTING, an4_clips, audio_of

_CLIPS = 60


def took_ms(listener: Recognizer, clips: Sequence[Audio], phrases: PhraseSet) -> list[float]:
    """The time for each clip, after one that does not count."""
    listener.recognize(clips[0], phrases)
    times: list[float] = []
    for audio in track(clips, "listening", console=Console(stderr=True), transient=True):
        before = time.perf_counter()
        listener.recognize(audio, phrases)
        times.append((time.perf_counter() - before) * 1000)
    return times


def main() -> None:
    """Measure and print."""
    listeners = {"handsfree": open_recognizer(), "Whisper alone": Transcriber()}
    print(
        f"Measured on {datetime.now(UTC):%Y-%m-%d} on {os.cpu_count()} cores with "
        "`python -m tests.benchmarks.latency`, AN4 as recorded, reporting half.\n"
    )
    print("| listener | said | clips | mean s | ms median | ms p95 | real-time factor |")
    print("|" + " --- |" * 7)
    for said, kind, phrases in (
        ("readings, as a number", "reading", NUMBER),
        ("commands, of seven or a reading", "command", COMMANDS),
    ):
        clips = [audio_of(clip) for clip in an4_clips(kind) if clip.half == REPORTING][:_CLIPS]
        seconds = sum(clip.duration.total_seconds() for clip in clips)
        for name, listener in listeners.items():
            times = took_ms(listener, clips, phrases)
            print(
                f"| {name} | {said} | {len(clips)} | {seconds / len(clips):.1f} "
                f"| {statistics.median(times):.0f} | {statistics.quantiles(times, n=20)[-1]:.0f} "
                f"| {sum(times) / 1000 / seconds:.2f} |",
                flush=True,
            )


if __name__ == "__main__":
    main()
