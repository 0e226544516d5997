"""Fit the score of values that the reader hears: `python -m tests.benchmarks.fit_read FOLD FOLD`.

The reader was trained on the tuning half of the speakers, so among them it is surer, and more often
right, than among strangers. A fold is a reader made by the same recipe without some of them, whose
names are in its `held_out.txt` (see models/training/README.md); each listens to those only.

Prints the content of `[read]` in `handsfree/hearing/score.toml`, with a cross-validation by speaker
and what each threshold of acceptance would cost. Takes about 5 minutes on 2 cores.
"""

import argparse
from collections.abc import Iterator
from pathlib import Path

from rich.console import Console
from rich.progress import track

from handsfree.hearing.agreement import says_the_same
from handsfree.hearing.listeners import TwoListeners
from handsfree.hearing.reader import Reader
from handsfree.hearing.transcriber import Transcriber
from handsfree.words.meanings import Stated, Understood
from tests.benchmarks.fit_score import Example, report
from tests.benchmarks.situations import NUMBER, TASK
from tests.benchmarks.speech import TUNING, Clip, an4_clips, audio_of

_READING_LEVELS_DB = (None, 10, 5, 0)
_OTHER_LEVELS_DB = (None, 5)


def reader_in(folder: Path) -> Reader:
    """The reader whose files lie in `folder`, which is not in the catalogue."""
    names = ("reader.onnx", "characters.json")
    return Reader(folder.name, {name: (folder / name).read_bytes() for name in names})


def examples(fold: Path, transcriber: Transcriber) -> Iterator[Example]:
    """Every value that the reader of `fold` hears from people that it was not trained on."""
    strangers = set((fold / "held_out.txt").read_text(encoding="utf-8").split())
    reader = reader_in(fold)
    listeners = TwoListeners(transcriber, reader)
    clips = [
        clip
        for clip in an4_clips("reading", "spelled", "other", "command")
        if clip.half == TUNING and clip.speaker in strangers
    ]
    for clip in track(clips, f"listening with {fold.name}", console=Console(stderr=True)):
        for level in _READING_LEVELS_DB if clip.kind == "reading" else _OTHER_LEVELS_DB:
            yield from _of_clip(clip, level, reader, listeners)


def _of_clip(
    clip: Clip, level: int | None, reader: Reader, listeners: TwoListeners
) -> Iterator[Example]:
    audio = audio_of(clip, level)
    read = reader.read(audio)
    if read is None:
        return
    for phrases in (NUMBER, TASK):
        heard = reader.opinion(read, reader.wordings(read, phrases))
        parsed = phrases.parse(heard.words)
        if isinstance(parsed, Understood) and isinstance(parsed.meaning, Stated):
            evidence = listeners.evidence(audio, read, heard)
            right = says_the_same(heard.words, " ".join(clip.words))
            yield Example(clip, level, True, evidence.features(), right)


def main() -> None:
    """Listen, fit, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folds", type=Path, nargs="+")
    folds: list[Path] = parser.parse_args().folds
    transcriber = Transcriber()
    heard = [each for fold in folds for each in examples(fold, transcriber)]
    report("read", heard)


if __name__ == "__main__":
    main()
