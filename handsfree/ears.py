"""The ears a run can have: recorded clips, or words typed at a keyboard."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import TextIO

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import Audio
from handsfree.hearing.clips import read_clip
from handsfree.hearing.recognizer import Recognizer
from handsfree.record.log import Stopwatch
from handsfree.record.marks import NotHeard
from handsfree.run import Utterance
from handsfree.words.heard import Heard
from handsfree.words.numerals import speak_text
from handsfree.words.phrases import PhraseSet

CLIP_SUFFIXES = frozenset({".wav", ".flac", ".ogg", ".oga", ".raw", ".aiff", ".aif", ".mp3"})


class NoClips(HandsfreeError):
    """A folder has nothing to listen to."""

    exit_code = 2

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"{folder}: no sound files there. Name a folder with one file for each utterance, "
            f"in the order of their names ({', '.join(sorted(CLIP_SUFFIXES))})."
        )


def clips_in(folder: Path) -> tuple[Path, ...]:
    """The sound files of a folder in the order of their names; raises NoClips."""
    found = folder.is_dir() and sorted(
        each for each in folder.iterdir() if each.suffix.lower() in CLIP_SUFFIXES
    )
    if not found:
        raise NoClips(folder)
    return tuple(found)


class ClipEar:
    """Hears one clip after the other."""

    def __init__(
        self, clips: tuple[Path, ...], recognizer: Recognizer, since_start: Stopwatch
    ) -> None:
        """`since_start` dates each utterance."""
        self._clips: Iterator[Path] = iter(clips)
        self._recognizer = recognizer
        self._since_start = since_start

    def hear(self, phrases: PhraseSet) -> Utterance | NotHeard | None:
        """Listen to the next clip; one that is no sound is told of and passed over."""
        path = next(self._clips, None)
        if path is None:
            return None
        try:
            audio: Audio = read_clip(path, started=self._since_start())
        except HandsfreeError as error:
            return NotHeard(path.name, str(error))
        return Utterance(self._recognizer.listen(audio, phrases), audio, path.stem)


class KeyboardEar:
    """Takes typed lines as if they were heard beyond doubt."""

    def __init__(self, lines: TextIO, prompt: TextIO, since_start: Stopwatch) -> None:
        """The prompt goes where the person sees it, apart from what a pipe would take."""
        self._lines = lines
        self._prompt = prompt
        self._since_start = since_start

    def hear(self, phrases: PhraseSet) -> Utterance | None:  # noqa: ARG002 typing needs no grammar
        """Wait for a line; figures may be typed for spoken digits. The end of input ends it."""
        if self._lines.isatty():
            print("> ", end="", file=self._prompt, flush=True)
        started = self._since_start()
        line = self._lines.readline()
        if not line:
            return None
        return Utterance(_typed(line, started, self._since_start()), None, "keyboard")


def _typed(line: str, started: timedelta, ended: timedelta) -> Heard:
    words = tuple(speak_text(line).lower().replace("-", " ").split())
    return Heard(words, 1.0, (), (), started, ended)
