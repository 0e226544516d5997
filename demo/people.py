"""The people at the door: they speak their lines, and repeat one when they are asked to."""

from collections import deque
from dataclasses import replace
from datetime import timedelta

import numpy as np

from demo.noise import RATE_HZ, Sound, hangar_noise, mix_at_snr
from demo.script import SNR_DB, Line
from demo.voices import render
from handsfree.engine.entries import (
    Entry,
    InspectionCalled,
    NotActedOn,
    NotHeeded,
    PersonIdentified,
    StatementsDiffer,
    StepBegun,
    StoodBy,
    WentOn,
)
from handsfree.hearing.audio import Audio
from handsfree.hearing.recognizer import Recognizer
from handsfree.record.log import Stopwatch
from handsfree.running.parts import Utterance
from handsfree.task.roles import Headset
from handsfree.words.phrases import PhraseSet

_SILENCE_S = 0.3  # before and after the words, as a microphone that is always open has it
_GO_AHEAD = Line(Headset.TECHNICIAN, "go ahead")


def voice_line(line: Line) -> Sound:
    """The words of a line with a little silence around them, without noise."""
    silence = np.zeros(round(_SILENCE_S * RATE_HZ), np.float32)
    return np.concatenate([silence, render(line.words, line.headset), silence])


class People:
    """An ear of the run: what reaches it is what the people say, through the noise of the hangar.

    They behave as people do. Asked to say again, they repeat the line, and one that was drowned
    they repeat when the rivet gun has stopped. Told that the step waits, they say "go ahead" and
    begin again where they were asked last. Each wears a headset, so it is known who speaks.
    """

    def __init__(
        self,
        lines: tuple[tuple[Line, Sound], ...],
        recognizer: Recognizer,
        since_start: Stopwatch,
        rng: np.random.Generator,
    ) -> None:
        """`lines` come with their voices; the noise is made here, from `rng`."""
        self._lines = deque(lines)
        self._recognizer = recognizer
        self._since_start = since_start
        self._rng = rng
        self._said_since_asked: list[tuple[Line, Sound]] = []
        self._spoken = 0
        self._patience = 5  # times they begin a step again; then they give up, and so does the demo

    def hear_decision(self, entry: Entry) -> None:
        """Take in what became of the last line."""
        match entry:
            case (
                WentOn()
                | StepBegun()
                | PersonIdentified()
                | InspectionCalled()
                | StatementsDiffer()
            ):
                self._said_since_asked.clear()
            case NotHeeded(reason=NotActedOn.DOUBTFUL) if self._said_since_asked:
                line, voice = self._said_since_asked.pop()
                self._lines.appendleft((replace(line, snr_db=SNR_DB), voice))
            case StoodBy(reason=reason) if "doubtful" in reason and self._patience:
                self._patience -= 1
                self._lines.extendleft(reversed(self._said_since_asked))
                self._lines.appendleft((_GO_AHEAD, voice_line(_GO_AHEAD)))

    def hear(
        self,
        phrases: PhraseSet,
        until: timedelta | None = None,  # noqa: ARG002 these people never let a time pass
    ) -> Utterance | None:
        """Say the next line; None when nothing is left to say."""
        if not self._lines:
            return None
        line, voice = self._lines.popleft()
        self._said_since_asked.append((line, voice))
        self._spoken += 1
        noise = hangar_noise(len(voice) / RATE_HZ, self._rng)
        audio = Audio(mix_at_snr(voice, noise, line.snr_db), self._since_start())
        heard = self._recognizer.recognize(audio, phrases)
        heard = replace(heard, channel=line.headset.channel)
        return Utterance(heard, audio, f"{self._spoken:02d}-{line.headset.source}")
