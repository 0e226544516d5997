"""How well and how quickly each voice speaks: `python -m tests.speaking.understood`.

Whisper writes down freely what it hears in sentences of the tasks in `tasks/` and in read-backs,
without noise; a word that it writes otherwise counts. It was trained on neither voice, as far as is
known, and it is a small one: the figures compare the voices and say little of a person's hearing.
The natural voice draws its noise anew each time, so its figures differ by a few words.
"""

import re
import time
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Audio
from handsfree.hearing.transcriber import Transcriber
from handsfree.speaking.voices import VoiceName, voice_called
from handsfree.words.phrases import BUILT_IN

TASKS = Path(__file__).parents[2] / "tasks"
READ_BACKS = (
    "Two niner five zero p s i.",
    "One four newton metres.",
    "Below minimum, two two decimal zero.",
    "Inside limits.",
    "Report pressure in p s i.",
    "Zero decimal four five millimetres.",
    "Two one degrees celsius.",
    "Two eight zero inch pounds.",
    "Six five bar.",
    "Minus five degrees celsius.",
    "Two five foot pounds.",
    "Two eight volts.",
    "Three five zero kilopascals.",
    "Victor kilo four zero eight six.",
    "Quebec delta tango romeo november.",
    "Wrench number tango alfa three one.",
    "Say again.",
    "Affirm?",
    "Standing by.",
    "Correct it, measure again, or say unable.",
    "Three and five sixteenths inches.",
    "One five march two zero seven one.",
)
_NAMES = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_FIGURES = dict(zip("0123456789", _NAMES, strict=True))
_SPELLINGS = (
    (r"niner|9 or\b", "nine"),  # Whisper has no word "niner", and "nine or" is how it sounds
    (r"p\.?s\.?i\.?\b", "p s i"),
    (r"meters", "metres"),
    (r"alpha", "alfa"),
    (r"\bkpa\b", "kilopascals"),
    (r"(?<=\d)\.(?=\d)", " decimal "),
    (r"(?<=\d),(?=\d)", ""),
)


def main() -> None:
    """Measure and print."""
    whisper = Transcriber()
    texts = (*_instructions(), *READ_BACKS)
    for name in VoiceName:
        began = time.perf_counter()
        voice = voice_called(name)(SAMPLE_RATE, 1.0)
        started = time.perf_counter() - began
        words = errors = 0
        took: list[float] = []
        seconds = 0.0
        for text in texts:
            began = time.perf_counter()
            spoken = voice.render(text).astype(np.float32) / 32768
            took.append(time.perf_counter() - began)
            seconds += len(spoken) / SAMPLE_RATE
            sound = np.pad(spoken, (4_800, 6_400)).astype(np.float32)
            heard = whisper.recognize(Audio(sound, timedelta(0)), BUILT_IN["number"])
            said, written = _plain(text), _plain(heard.opinions[0].free_text or "")
            words, errors = words + len(said), errors + _edits(said, written)
        voice.close()
        print(
            f"{name.value}: {errors} of {words} words written otherwise, {len(texts)} texts; start "
            f"{started:.1f} s, first text {took[0]:.2f} s, all {sum(took) / seconds:.3f} s for "
            "each second of speech"
        )


def _instructions() -> tuple[str, ...]:
    """Every third sentence that a task says at a step."""
    said = [
        sentence
        for path in sorted(TASKS.glob("*.yaml"))
        for text in re.findall(
            r"(?:instruction|warning|caution): ([^#<\n]+)$", path.read_text("utf-8"), re.MULTILINE
        )
        for sentence in re.split(r"(?<=[.])\s+", text.strip())
    ]
    return tuple(dict.fromkeys(said))[::3]


def _plain(text: str) -> list[str]:
    text = text.lower()
    for pattern, plain in _SPELLINGS:
        text = re.sub(pattern, plain, text)
    text = re.sub(r"\d", lambda figure: f" {_FIGURES[figure[0]]} ", text)
    return re.sub(r"[^a-z ]", " ", text).split()


def _edits(said: list[str], written: list[str]) -> int:
    """The words to change, put in or leave out (Levenshtein)."""
    row = list(range(len(written) + 1))
    for at, word in enumerate(said, 1):
        above, row = row, [at]
        for (diagonal, over), other in zip(pairwise(above), written, strict=True):
            row.append(min(over + 1, row[-1] + 1, diagonal + (word != other)))
    return row[-1]


if __name__ == "__main__":
    main()
