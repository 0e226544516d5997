"""Everyday words and standard words, by voices that nothing was tuned or trained on.

`python -m tests.benchmarks.everyday FOLDER`: each voice is a table and a sound file there, as
`models/training/corpus.py` writes them, of the words in `everyday.csv`. They are heard at the step
of the long task that reads a temperature, clean and in pink noise, and decided on as in a run:
"acted on" counts what confirms nothing and moved something. Prints a block for RESULTS.md.
"""

import argparse
import csv
import hashlib
from collections import Counter, defaultdict
from datetime import timedelta
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.progress import track

from handsfree.engine.advance import advance
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.trust import Trust, trust
from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.opening import open_recognizer
from handsfree.hearing.recognizer import Recognizer
from handsfree.words.heard import Heard
from handsfree.words.meanings import Casual, Negated, Parse
from tests.benchmarks.forms import recorded
from tests.benchmarks.speech import mixed, pink_noise
from tests.long_task import LongRun

LEVELS_DB = (None, 10)
STEP = "bottle-temperature"
_SILENCE_S = 0.3
_KINDS = Path(__file__).with_suffix(".csv")


def heard_as(parse: Parse, meant: Parse, score: float) -> str:
    """Understood, asked for again, or taken for something else."""
    if trust(score, parse) is Trust.ASK_AGAIN:
        return "asked again"
    return "understood" if parse == meant else "taken for another"


def main() -> None:
    """Listen to every voice at every level."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--kinds", nargs="*", help="of everyday.csv; all, if not given")
    parser.add_argument("--voices", nargs="*", help="all that are there, if not given")
    parser.add_argument("--noise-only", action="store_true", help="nothing is heard clean")
    asked = parser.parse_args()
    folder: Path = asked.folder
    levels = LEVELS_DB[1:] if asked.noise_only else LEVELS_DB
    with _KINDS.open(encoding="utf-8", newline="") as file:
        kinds = {row["words"]: row["kind"] for row in csv.DictReader(file)}
    run = LongRun().begin().to_step(STEP)
    phrases = phrases_now(run.task, run.state)
    recognizer = open_recognizer()
    by_kind: dict[tuple[str, int | None], Counter[str]] = defaultdict(Counter)
    by_word: dict[tuple[str, int | None], Counter[str]] = defaultdict(Counter)
    wrong: list[str] = []
    said = [
        each
        for each in recorded(folder)
        if kinds.get(each.words) in (asked.kinds or kinds.values())
        and each.voice in (asked.voices or (each.voice,))
    ]
    for each in track(said, "listening", console=Console(stderr=True)):
        for level in levels:
            heard = _listened(recognizer, each.samples, level, f"{each.voice}:{each.words}", run)
            parse, meant = phrases.parse(heard.words), phrases.parse(each.words.split())
            result = heard_as(parse, meant, heard.score)
            by_kind[kinds[each.words], level][result] += 1
            by_word[each.words, level][result] += 1
            never = isinstance(getattr(meant, "meaning", None), Casual | Negated)
            after, _ = advance(run.task, run.state, heard)
            moved = (after.progress, after.pending) != (run.state.progress, run.state.pending)
            if never and moved:
                by_kind[kinds[each.words], level]["acted on"] += 1
            if result == "taken for another" or (never and moved):
                noise = "clean" if level is None else f"{level} dB"
                words = " ".join(heard.words)
                wrong.append(
                    f"{each.voice}, {noise}: '{each.words}' as '{words}' {heard.score:.3f}"
                )
    voices = sorted({each.voice for each in said})
    print(f"{len(voices)} voices: {', '.join(voices)}\n")
    print("| kind | noise | said | understood | asked again | taken for another | acted on |")
    print("| --- | --- | ---: | ---: | ---: | ---: | ---: |")
    for (kind, level), count in by_kind.items():
        _row(kind, level, count)
    print("\n| words | noise | said | understood | asked again | taken for another | acted on |")
    print("| --- | --- | ---: | ---: | ---: | ---: | ---: |")
    for (words, level), count in sorted(by_word.items(), key=lambda each: str(each[0])):
        _row(words, level, count)
    print("", *wrong, sep="\n")


def _row(name: str, level: int | None, count: Counter[str]) -> None:
    results = ("understood", "asked again", "taken for another")
    number = sum(count[each] for each in results)
    cells = (number, *(count[each] for each in results), count["acted on"])
    noise = "none" if level is None else f"{level} dB"
    print(f"| {name} | {noise} | {' | '.join(map(str, cells))} |")


def _listened(
    recognizer: Recognizer, samples: Samples, level: int | None, key: str, run: LongRun
) -> Heard:
    """What is heard at this moment of the run, with some silence about it."""
    silence = np.zeros(round(_SILENCE_S * SAMPLE_RATE), np.float32)
    whole = np.concatenate([silence, samples, silence])
    if level is not None:
        seed = int.from_bytes(hashlib.sha256(f"{key}:{level}".encode()).digest()[:8], "big")
        whole = mixed(whole, pink_noise(len(whole), seed), level)
    audio = Audio(whole, timedelta(0))
    return recognizer.recognize(audio, phrases_now(run.task, run.state))


if __name__ == "__main__":
    main()
