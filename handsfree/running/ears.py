"""The ears a run can have: recorded clips, or words typed at a keyboard."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import TextIO

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import Audio
from handsfree.hearing.clips import read_clip
from handsfree.hearing.recognizer import Recognizer
from handsfree.record.log import Stopwatch
from handsfree.record.marks import NotHeard
from handsfree.running.parts import KEYBOARD, Utterance
from handsfree.task.roles import Headset
from handsfree.visible import escaped
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet
from handsfree.words.spoken_numbers import speak_text

# The longest answer that a task can ask for, said twice, is shorter; what is longer is no answer,
# and would have to be parsed, kept and replayed.
LONGEST_LINE = 500
CLIP_SUFFIXES = frozenset({".wav", ".flac", ".ogg", ".oga", ".raw", ".aiff", ".aif", ".mp3"})

# Figures are words by the time that this is looked for.
_PUNCTUATION = re.compile(r"[.,;!?](?=\s|$)")
# "2: pressure two niner" is typed for the second headset.
_CHANNELS = "".join(str(each.channel) for each in Headset)
_CHANNEL_PREFIX = re.compile(rf"\s*([{_CHANNELS}]):(.*)", re.DOTALL)


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

    def hear(
        self,
        phrases: PhraseSet,
        until: timedelta | None = None,  # noqa: ARG002 the clips do not wait
    ) -> Utterance | NotHeard | None:
        """Listen to the next clip; one that is no sound is told of and passed over."""
        path = next(self._clips, None)
        if path is None:
            return None
        try:
            audio: Audio = read_clip(path, started=self._since_start())
        except HandsfreeError as error:
            return NotHeard(escaped(path.name), escaped(str(error)))
        heard = self._recognizer.recognize(audio, phrases)
        headset = Headset.of_clip(path.stem)
        channel = None if headset is None else headset.channel
        return Utterance(replace(heard, channel=channel), audio, escaped(path.stem))


class KeyboardEar:
    """Takes typed lines as if they were heard beyond doubt.

    A line that is too long, or no text, is told of and asked for again. "2: affirm" is said into
    the headset of the second person; 1 is the technician's, 3 the inspector's.
    """

    def __init__(self, lines: TextIO, prompt: TextIO, since_start: Stopwatch) -> None:
        """The prompt goes where the person sees it, apart from what a pipe would take."""
        self._lines = lines
        self._prompt = prompt
        self._since_start = since_start
        self._ask_again: Utterance | None = None  # for a line that was told of

    def hear(
        self,
        phrases: PhraseSet,  # noqa: ARG002 typing needs no grammar
        until: timedelta | None = None,  # noqa: ARG002 a person at a keyboard is not interrupted
    ) -> Utterance | NotHeard | None:
        """Wait for a line; figures may be typed for spoken digits. The end of input ends it."""
        if self._ask_again is not None:
            asked, self._ask_again = self._ask_again, None
            return asked
        if self._lines.isatty():
            print("> ", end="", file=self._prompt, flush=True)
        started = self._since_start()
        line = self._lines.readline(LONGEST_LINE + 1)
        if not line:
            return None
        problem = self._problem_with(line)
        if problem is not None:
            nothing = Heard((), 0.0, (), (), started, self._since_start())
            self._ask_again = Utterance(nothing, None, KEYBOARD)
            return NotHeard(KEYBOARD, problem)
        # What is typed is said when the line is ended: not from when it was first waited for.
        typed_at = self._since_start()
        return Utterance(_typed(line, typed_at), None, KEYBOARD)

    def _problem_with(self, line: str) -> str | None:
        """Why a line is not taken. What is left of one that is too long is passed over."""
        if len(line) > LONGEST_LINE:
            while line and not line.endswith("\n"):
                line = self._lines.readline(LONGEST_LINE)
            return f"A line of more than {LONGEST_LINE} characters: no answer is so long."
        if any("\ud800" <= each <= "\udfff" for each in line):
            return "A line that is not text in UTF-8."
        return None


def _typed(line: str, at: timedelta) -> Heard:
    channel = None
    if prefix := _CHANNEL_PREFIX.fullmatch(line):
        channel, line = int(prefix[1]), prefix[2]
    said = _PUNCTUATION.sub(" ", speak_text(line.replace("’", "'")).lower().replace("-", " "))
    words = tuple(said.split())
    return Heard(words, 1.0, (), (), at, at, channel, typed=True)
