"""How well and how fast the embedded listener hears: `python -m tests.benchmarks.hearing`.

Prints the Markdown block that belongs in RESULTS.md. Give `--half tuning` to see only the half
that may be tuned with; without it both halves are measured. Takes about half an hour on 2 cores.
"""

import argparse
import os
import statistics
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from rich.console import Console
from rich.progress import Progress

from handsfree.engine.trust import ACCEPT_AT
from handsfree.hearing import Transcriber
from handsfree.hearing.agreement import says_the_same
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet
from tests.benchmarks.logistic import calibration_error
from tests.benchmarks.situations import (
    COMMANDS,
    CONFIRMING,
    NUMBER,
    SINGLE_WORDS,
    TASK,
)
from tests.benchmarks.speech import (
    NOISE_LEVELS_DB,
    REPORTING,
    TUNING,
    Clip,
    an4_clips,
    audio_of,
    single_words,
)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one clip."""

    clip: Clip
    heard: Heard
    took_ms: float = 0.0

    @property
    def right(self) -> bool:
        """Whether the words are what was said, numbers compared as figures."""
        return says_the_same(self.heard.words, " ".join(self.clip.words))

    @property
    def accepted(self) -> bool:
        """Whether the words were believed."""
        return self.heard.score >= ACCEPT_AT

    @property
    def wrong_unasked(self) -> bool:
        """The defect that nobody notices."""
        return self.accepted and not self.right


def share(facts: Iterable[bool]) -> str:
    """How many hold, in per cent and by number."""
    held = list(facts)
    return f"{100 * sum(held) / len(held):.1f} % ({sum(held)})" if held else "-"


class Bench:
    """Measures one half of the speakers, and remembers what went wrong unasked."""

    def __init__(self, half: str, transcriber: Transcriber, progress: Progress) -> None:
        self._half = half
        self._transcriber = transcriber
        self._progress = progress
        self._wrong: list[str] = []

    def readings(self) -> Iterator[str]:
        """Markdown: readings, by noise, each heard as a plain number."""
        clips = self._of_half(an4_clips("reading"))
        yield (
            "| noise | readings | exact | accepted, wrong | asked again | ms median | ms p95 "
            "| real-time factor | calibration error |"
        )
        yield "|" + " --- |" * 9
        for level in NOISE_LEVELS_DB:
            name = "clean" if level is None else f"{level} dB"
            outcomes = list(self._timed(clips, level, f"{self._half} {name}"))
            self._remember(outcomes, f"reading, {name}")
            took = [each.took_ms for each in outcomes]
            spoken_ms = sum(
                (each.heard.ended - each.heard.started).total_seconds() * 1000 for each in outcomes
            )
            scores = np.array([each.heard.score for each in outcomes])
            right = np.array([each.right for each in outcomes], dtype=float)
            yield (
                f"| {name} | {len(outcomes)} | {share(each.right for each in outcomes)} "
                f"| {share(each.wrong_unasked for each in outcomes)} "
                f"| {share(not each.accepted for each in outcomes)} "
                f"| {statistics.median(took):.0f} | {statistics.quantiles(took, n=20)[-1]:.0f} "
                f"| {sum(took) / spoken_ms:.2f} | {calibration_error(scores, right):.3f} |"
            )

    def other_speech(self) -> Iterator[str]:
        """Markdown: what was said against what was valid, as recorded."""
        number_or_task = {"number": NUMBER, "a task": TASK, "a task, no number": CONFIRMING}
        material: list[tuple[str, Sequence[Clip], dict[str, PhraseSet]]] = [
            (
                "AN4 spelled and other",
                self._of_half(an4_clips("spelled", "other")),
                number_or_task,
            ),
            (
                "AN4 commands",
                self._of_half(an4_clips("command")),
                number_or_task | {"the commands, a reading": COMMANDS},
            ),
            (
                "AN4 readings",
                self._of_half(an4_clips("reading")),
                {"a task": TASK, "a task, no number": CONFIRMING},
            ),
        ]
        if self._half == REPORTING:
            # None of these people was tuned with.
            among = {"ten of the words, a reading": SINGLE_WORDS}
            material.append(("single words", single_words(), number_or_task | among))
        yield "| speech | valid phrases | clips | exact | accepted | accepted, wrong |"
        yield "|" + " --- |" * 6
        for speech, clips, situations in material:
            outcomes = self._by_situation(clips, situations, f"{self._half} {speech}")
            for situation, each in outcomes.items():
                self._remember(each, f"{speech}, {situation}")
                yield (
                    f"| {speech} | {situation} | {len(each)} | {share(one.right for one in each)} "
                    f"| {share(one.accepted for one in each)} "
                    f"| {share(one.wrong_unasked for one in each)} |"
                )

    def wrong_unasked(self) -> Iterator[str]:
        """Markdown: every hearing that was accepted and wrong."""
        yield from self._wrong or ["- none"]

    def _of_half(self, clips: Iterable[Clip]) -> list[Clip]:
        return [clip for clip in clips if clip.half == self._half]

    def _timed(self, clips: Sequence[Clip], level_db: int | None, title: str) -> Iterator[Outcome]:
        for clip in self._progress.track(clips, description=title):
            audio = audio_of(clip, level_db)
            before = time.perf_counter()
            heard = self._transcriber.listen(audio, NUMBER)
            yield Outcome(clip, heard, (time.perf_counter() - before) * 1000)

    def _by_situation(
        self, clips: Sequence[Clip], situations: dict[str, PhraseSet], title: str
    ) -> dict[str, list[Outcome]]:
        outcomes: dict[str, list[Outcome]] = {situation: [] for situation in situations}
        for clip in self._progress.track(clips, description=title):
            audio = audio_of(clip)
            encoded = self._transcriber.encode(audio)
            for situation, phrases in situations.items():
                heard = self._transcriber.judge(audio, encoded, phrases)
                outcomes[situation].append(Outcome(clip, heard))
        return outcomes

    def _remember(self, outcomes: Iterable[Outcome], where: str) -> None:
        self._wrong.extend(
            f'- {where}: {each.clip.path.name} says "{" ".join(each.clip.words)}", heard '
            f'"{" ".join(each.heard.words)}", free text "{each.heard.opinions[0].free_text}", '
            f"score {each.heard.score:.3f}"
            for each in outcomes
            if each.wrong_unasked
        )


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--half", choices=(TUNING, REPORTING), help="only this half")
    chosen: str | None = parser.parse_args().half
    transcriber = Transcriber()
    print(
        f"Measured on {datetime.now(UTC):%Y-%m-%d} on {os.cpu_count()} cores with "
        f"`python -m tests.benchmarks.hearing{f' --half {chosen}' if chosen else ''}`; "
        f"accepted from a score of {ACCEPT_AT}."
    )
    # Tables go to stdout and the progress to stderr, so that the tables can be redirected.
    with Progress(console=Console(stderr=True)) as progress:
        for half in (chosen,) if chosen else (TUNING, REPORTING):
            bench = Bench(half, transcriber, progress)
            for title, lines in (
                ("readings, heard as a plain number", bench.readings()),
                ("what is valid and what is not", bench.other_speech()),
                ("every hearing accepted and wrong", bench.wrong_unasked()),
            ):
                print(f"\n{half.capitalize()} half, {title}:\n")
                for line in lines:
                    print(line, flush=True)


if __name__ == "__main__":
    main()
