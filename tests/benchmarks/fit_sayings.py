"""Fit the scores of what is said at the steps: `python -m tests.benchmarks.fit_sayings`.

Voices that no reader was trained on say it (`models/training/make_sayings.py`). Prints
`[words_read]` and `[read_named]` of `handsfree/hearing/score.toml`, with a cross-validation by
voice. The shipped numbers come from the same evidence, gathered before the everyday words were
phrases, and `[words_read]` from AN4's spelled phrases of the tuning half too, each by a reader
without its speaker.
"""

import argparse
import csv
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import numpy as np
import soundfile
from rich.console import Console
from rich.progress import track

from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.listeners import TwoListeners
from handsfree.hearing.opening import open_reader
from handsfree.hearing.transcriber import Transcriber
from tests.benchmarks.fit_score import Example, report
from tests.benchmarks.sayings import Saying, sayings
from tests.benchmarks.speech import Clip, mixed, pink_noise

LEVELS_DB = (None, 10)
_HERE = Path(__file__).resolve().parent
_RECORDED = _HERE.parents[1] / "models" / "training" / ".cache" / "sayings"
_SILENCE = np.zeros(round(0.3 * SAMPLE_RATE), np.float32)
# A weight that the evidence would turn round is left out: it stands for nothing.
_WORDS = ("support", "says_the_same", "least", "end", "behind_free")
_NAMED = ("margin", "mean", "end", "behind_free_a_letter")


def recorded(folder: Path) -> Iterator[tuple[str, Saying, Samples]]:
    """Voice, saying and sound, of every saying that is in `folder`."""
    for table in sorted(folder.glob("*.csv")):
        with table.open(encoding="utf-8", newline="") as file:
            rows = {row["text"]: row for row in csv.DictReader(file)}
        sound, _ = soundfile.read(table.with_suffix(".ogg"), dtype="float32")
        for saying in sayings(table.stem):
            if row := rows.get(saying.words):
                start = int(row["start"])
                said = sound[start : start + int(row["samples"])]
                yield table.stem, saying, np.concatenate([_SILENCE, said, _SILENCE])


def examples(folder: Path) -> tuple[list[Example], list[Example]]:
    """Words without figures that Whisper heard, and named values that the reader heard."""
    transcriber, reader = Transcriber(), open_reader()
    listeners = TwoListeners(transcriber, reader)
    words: list[Example] = []
    named: list[Example] = []
    work = list(recorded(folder))
    for at, (voice, saying, clean) in enumerate(track(work, console=Console(stderr=True))):
        phrases = saying.phrases
        said = tuple(saying.words.lower().split())
        meant = phrases.meaning_of(said)
        clip = Clip(folder / voice, voice, "saying", said)
        for level in LEVELS_DB:
            sound = clean if level is None else mixed(clean, pink_noise(len(clean), at), level)
            audio = Audio(sound, timedelta(0))
            read = reader.read(audio)
            weighed = transcriber.weigh(transcriber.encode(audio), phrases)
            if read is None:
                continue
            if (evidence := weighed.evidence) is not None and not evidence.has_figures:
                best = weighed.candidates[0].words
                features = evidence.features() | {
                    "behind_free": min(max(reader.behind_free_a_letter(read, best), 0.0), 4.0)
                }
                right = meant is not None and phrases.meaning_of(best) == meant
                chosen = {name: features[name] for name in _WORDS}
                words.append(Example(clip, level, False, chosen, right))
            if phrases.holds_values:
                heard = reader.opinion(read, reader.wordings(read, phrases))
                if heard.words and (value := listeners.evidence(audio, read, heard)).named:
                    right = meant is not None and phrases.meaning_of(heard.words) == meant
                    chosen = {name: value.features()[name] for name in _NAMED}
                    named.append(Example(clip, level, True, chosen, right))
    return words, named


def main() -> None:
    """Listen, fit, and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.fit_sayings")
    parser.add_argument("folder", nargs="?", type=Path, default=_RECORDED)
    words, named = examples(parser.parse_args().folder)
    report("words_read", words)
    report("read_named", named)


if __name__ == "__main__":
    main()
