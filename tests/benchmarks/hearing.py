"""How well the listeners hear: `python -m tests.benchmarks.hearing`.

Prints the Markdown block that belongs in RESULTS.md: the listeners that come with handsfree, and
the unchanged Whisper model beside them in the same run. Give `--half tuning` to see the half that
may be tuned with; without it the reporting half is measured. Takes about 40 minutes on 2 cores;
how quick they are is measured apart, by `latency.py`, on a machine that does nothing else.
"""

import argparse
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from rich.console import Console
from rich.progress import Progress

from handsfree.engine.trust import PHRASE_AT, VALUE_AT, is_believed
from handsfree.hearing.agreement import says_the_same
from handsfree.hearing.opening import open_recognizer
from handsfree.hearing.recognizer import Recognizer
from handsfree.hearing.transcriber import Transcriber
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet
from tests.benchmarks.logistic import calibration_error
from tests.benchmarks.situations import (
    COMMANDS,
    NUMBER,
    SINGLE_WORDS,
    TASK,
    TEN_WORDS,
)
from tests.benchmarks.speech import (
    NOISE_LEVELS_DB,
    REPORTING,
    TUNING,
    Clip,
    an4_clips,
    audio_of,
    digit_strings,
    lone_digits,
    single_words,
)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one clip."""

    clip: Clip
    heard: Heard
    phrases: PhraseSet

    @property
    def right(self) -> bool:
        """Whether the words are what was said, numbers compared as figures."""
        return says_the_same(self.heard.words, " ".join(self.clip.words))

    @property
    def accepted(self) -> bool:
        """Whether the words were believed."""
        return is_believed(self.heard.score, self.phrases.parse(self.heard.words))

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

    def __init__(self, half: str, listeners: Mapping[str, Recognizer], progress: Progress) -> None:
        self._half = half
        self._listeners = listeners
        self._progress = progress
        self._wrong: list[str] = []

    def readings(self) -> Iterator[str]:
        """Markdown: readings, by noise, each heard as a plain number."""
        clips = self._of_half(an4_clips("reading"))
        yield (
            "| listener | noise | readings | exact | accepted, wrong | asked again "
            "| calibration error |"
        )
        yield "|" + " --- |" * 7
        for level in NOISE_LEVELS_DB:
            noise = "clean" if level is None else f"{level} dB"
            for name, outcomes in self._heard(clips, NUMBER, f"readings {noise}", level).items():
                self._remember(outcomes, f"{name}: reading, {noise}")
                scores = np.array([each.heard.score for each in outcomes])
                right = np.array([each.right for each in outcomes], dtype=float)
                yield (
                    f"| {name} | {noise} | {len(outcomes)} "
                    f"| {share(each.right for each in outcomes)} "
                    f"| {share(each.wrong_unasked for each in outcomes)} "
                    f"| {share(not each.accepted for each in outcomes)} "
                    f"| {calibration_error(scores, right):.3f} |"
                )

    def strangers(self) -> Iterator[str]:
        """Markdown: digits by people of another corpus, 8 kHz, by person and noise.

        They belong to no half: say beside the figures whether the reader was trained on them.
        """
        yield "| listener | person | noise | said | clips | exact | accepted, wrong | asked again |"
        yield "|" + " --- |" * 8
        material = {"four digits": digit_strings(), "a lone digit": lone_digits(every=15)}
        for said, clips in material.items():
            for level in (None, 15, 10):
                noise = "clean" if level is None else f"{level} dB"
                heard = self._heard(clips, NUMBER, f"{said}, {noise}", level)
                for name, outcomes in heard.items():
                    self._remember(outcomes, f"{name}: {said}, {noise}")
                    for speaker in sorted({each.clip.speaker for each in outcomes}):
                        own = [each for each in outcomes if each.clip.speaker == speaker]
                        yield (
                            f"| {name} | {speaker} | {noise} | {said} | {len(own)} "
                            f"| {share(each.right for each in own)} "
                            f"| {share(each.wrong_unasked for each in own)} "
                            f"| {share(not each.accepted for each in own)} |"
                        )

    def other_speech(self) -> Iterator[str]:
        """Markdown: what was said against what was valid, as recorded."""
        spelled = self._of_half(an4_clips("spelled", "other"))
        commands = self._of_half(an4_clips("command"))
        # None of the people of the single words was tuned with.
        words = single_words() if self._half == REPORTING else ()
        inside = [clip for clip in words if clip.words[0] in TEN_WORDS]
        material: list[tuple[str, Sequence[Clip], str, PhraseSet]] = [
            ("AN4 spelled and other", spelled, "a number", NUMBER),
            ("AN4 spelled and other, every 3rd", spelled[::3], "a task", TASK),
            ("AN4 commands", commands, "a number", NUMBER),
            ("AN4 commands", commands, "the commands, a reading", COMMANDS),
            ("single words", words, "a number", NUMBER),
            ("single words, the ten", inside, "the ten, a reading", SINGLE_WORDS),
        ]
        yield "| listener | speech | valid | clips | exact | accepted | accepted, wrong |"
        yield "|" + " --- |" * 7
        for speech, clips, valid, phrases in material:
            heard = self._heard(clips, phrases, f"{speech}, {valid}")
            for name, outcomes in heard.items():
                self._remember(outcomes, f"{name}: {speech}, {valid}")
                yield (
                    f"| {name} | {speech} | {valid} | {len(outcomes)} "
                    f"| {share(each.right for each in outcomes)} "
                    f"| {share(each.accepted for each in outcomes)} "
                    f"| {share(each.wrong_unasked for each in outcomes)} |"
                )

    def wrong_unasked(self) -> Iterator[str]:
        """Markdown: every hearing that was accepted and wrong."""
        yield from self._wrong or ["- none"]

    def _of_half(self, clips: Iterable[Clip]) -> list[Clip]:
        return [clip for clip in clips if clip.half == self._half]

    def _heard(
        self, clips: Sequence[Clip], phrases: PhraseSet, title: str, level_db: int | None = None
    ) -> dict[str, list[Outcome]]:
        outcomes: dict[str, list[Outcome]] = {name: [] for name in self._listeners}
        for clip in self._progress.track(clips, description=title):
            audio = audio_of(clip, level_db)
            for name, listener in self._listeners.items():
                outcomes[name].append(Outcome(clip, listener.recognize(audio, phrases), phrases))
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
    parser.add_argument("--half", choices=(TUNING, REPORTING), default=REPORTING)
    parser.add_argument("--without-whisper-alone", action="store_true", help="half the time")
    parser.add_argument("--only", choices=("readings", "other", "strangers"), help="one table")
    chosen = parser.parse_args()
    half: str = chosen.half
    listeners: dict[str, Recognizer] = {"handsfree": open_recognizer()}
    if not chosen.without_whisper_alone:
        listeners["Whisper alone"] = Transcriber()
    print(
        f"Measured on {datetime.now(UTC):%Y-%m-%d} on {os.cpu_count()} cores with "
        f"`python -m tests.benchmarks.hearing --half {half}`; accepted: values from a score of "
        f"{VALUE_AT}, phrases from {PHRASE_AT}."
    )
    # Tables go to stdout and the progress to stderr, so that the tables can be redirected.
    with Progress(console=Console(stderr=True)) as progress:
        bench = Bench(half, listeners, progress)
        tables = {
            "readings": bench.readings,
            "other": bench.other_speech,
            "strangers": bench.strangers,
        }
        for title, lines in (
            *((each, table()) for each, table in tables.items() if chosen.only in (None, each)),
            ("every hearing accepted and wrong", bench.wrong_unasked()),
        ):
            print(f"\n{half.capitalize()} half, {title}:\n")
            for line in lines:
                print(line, flush=True)


if __name__ == "__main__":
    main()
