"""Fit the score on the tuning half of the speakers: `python -m tests.benchmarks.fit_score`.

Prints the content of `handsfree/hearing/score.toml`, with a cross-validation by speaker and what
each threshold of acceptance would cost. Takes about 15 minutes on 2 cores.
"""

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from rich.console import Console
from rich.progress import track

from handsfree.hearing.agreement import says_the_same
from handsfree.hearing.transcriber import Transcriber
from handsfree.words.phrases import PhraseSet
from tests.benchmarks.logistic import Floats, calibration_error, fit_logistic, logistic
from tests.benchmarks.situations import (
    COMMANDS,
    CONFIRMING,
    NUMBER,
    TASK,
    altered_phrases,
    own_phrases,
)
from tests.benchmarks.speech import TUNING, Clip, an4_clips, audio_of

_RIDGE = 1.0
_FOLDS = 10
_THRESHOLDS = (0.8, 0.9, 0.95, 0.97, 0.98, 0.99)
_READING_LEVELS_DB = (None, 10, 5)


@dataclass(frozen=True, slots=True)
class Example:
    """One hearing with words, and whether they were what was said."""

    clip: Clip
    snr_db: int | None
    has_figures: bool
    features: dict[str, float]
    right: bool


def situations(only_words: bool) -> Iterator[tuple[Clip, int | None, tuple[PhraseSet, ...]]]:
    """What is said, the noise on it, and what may be said while it is: inside and outside of it."""
    clips = [
        clip for clip in an4_clips("reading", "spelled", "other", "command") if clip.half == TUNING
    ]
    readings = [clip for clip in clips if clip.kind == "reading"]
    others = [clip for clip in clips if clip.kind != "reading"]
    for clip in () if only_words else readings:
        for level in _READING_LEVELS_DB:
            yield clip, level, (NUMBER, TASK)
    for clip in others:
        near = (own_phrases(clip, others), *altered_phrases(clip, others))
        valid = (COMMANDS, *near) if clip.kind == "command" else near
        yield clip, None, (CONFIRMING, *valid) if only_words else (NUMBER, CONFIRMING, *valid)


def examples(transcriber: Transcriber, only_words: bool) -> Iterator[Example]:
    """Every hearing; one without words scores 0 and teaches nothing."""
    work = list(situations(only_words))
    for clip, level, sets in track(work, "listening", console=Console(stderr=True)):
        encoded = transcriber.encode(audio_of(clip, level))
        for phrases in sets:
            weighed = transcriber.weigh(encoded, phrases)
            if (evidence := weighed.evidence) is not None:
                right = says_the_same(weighed.candidates[0].words, " ".join(clip.words))
                yield Example(clip, level, evidence.has_figures, evidence.features(), right)


def held_out(features: Floats, right: Floats, speakers: list[str]) -> Floats:
    """The probability of each example from a fit without its speaker."""
    probability = np.zeros(len(right))
    names = sorted(set(speakers))
    for fold in range(_FOLDS):
        out = np.isin(speakers, names[fold::_FOLDS])
        intercept, weights = fit_logistic(features[~out], right[~out], _RIDGE)
        probability[out] = logistic(intercept + features[out] @ weights)
    return probability


def report(name: str, heard: list[Example]) -> None:
    """Print one function in the form of the file, and what it is worth."""
    names = list(heard[0].features)
    features = np.array([[each.features[feature] for feature in names] for each in heard])
    right = np.array([each.right for each in heard], dtype=float)
    intercept, weights = fit_logistic(features, right, _RIDGE)
    print(f"\n[{name}]  # {len(heard)} hearings, {int(right.sum())} of them right")
    print(f"intercept = {intercept:.4f}\n\n[{name}.weights]")
    for feature, weight in zip(names, weights, strict=True):
        print(f"{feature} = {weight:.4f}")

    probability = held_out(features, right, [each.clip.speaker for each in heard])
    print(f"# held out by speaker: calibration error {calibration_error(probability, right):.4f}")
    groups = [
        ("readings" if each.clip.kind == "reading" else "other", each.snr_db) for each in heard
    ]
    print("# threshold: wrong accepted, right asked again, of")
    for threshold in _THRESHOLDS:
        for said, level in dict.fromkeys(groups):
            among = np.array([group == (said, level) for group in groups])
            accepted = probability[among] >= threshold
            is_right = right[among] == 1
            print(
                f"# {threshold}: {said} {'clean' if level is None else f'{level} dB'} "
                f"{np.sum(accepted & ~is_right)}, {np.sum(~accepted & is_right)}, {np.sum(among)}"
            )


def main() -> None:
    """Listen, fit, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only-words", action="store_true", help="leave the numbers as they are")
    only_words: bool = parser.parse_args().only_words
    heard = list(examples(Transcriber(), only_words))
    print('made_with = "python -m tests.benchmarks.fit_score"')
    print(f'made_on = "{datetime.now(UTC):%Y-%m-%d}"')
    print(f'speech = "AN4, tuning half of the speakers, {len(heard)} hearings"')
    if not only_words:
        report("figures", [each for each in heard if each.has_figures])
    report("words", [each for each in heard if not each.has_figures])


if __name__ == "__main__":
    main()
