"""The two people: they speak their lines, and repeat one when they are asked to."""

from collections import deque

import numpy as np

from demo.noise import RATE_HZ, Sound, hangar_noise, mix_at_snr
from demo.script import SNR_DB, Line
from demo.voices import render
from handsfree.engine.effects import Say, Speech
from handsfree.hearing.audio import Audio
from handsfree.hearing.recognizer import Recognizer
from handsfree.record.log import Stopwatch
from handsfree.run import Utterance
from handsfree.words.phrases import PhraseSet

_SILENCE_S = 0.3  # before and after the words, as a microphone that is always open has it
_ASKED_AGAIN = "Say again"


def voice_line(line: Line) -> Sound:
    """The words of a line with a little silence around them, without noise."""
    silence = np.zeros(round(_SILENCE_S * RATE_HZ), np.float32)
    return np.concatenate([silence, render(line.words, line.person), silence])


class People:
    """An ear of the run: what reaches it is what the people say, through the noise of the hangar.

    They behave as people do: asked to say again, they repeat the line, and one that was drowned
    they repeat when the rivet gun has stopped.
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
        self._last: tuple[Line, Sound] | None = None
        self._asked_again = False
        self._spoken = 0

    def hear_tool(self, say: Say) -> None:
        """Take in what the tool says."""
        if say.speech is Speech.QUESTION and say.text.startswith(_ASKED_AGAIN):
            self._asked_again = True

    def hear(self, phrases: PhraseSet) -> Utterance | None:
        """Say the next line, or the last one again; None when nothing is left to say."""
        if self._asked_again and self._last is not None:
            line, voice = self._last
            snr_db = SNR_DB
        elif self._lines:
            self._last = line, voice = self._lines.popleft()
            snr_db = line.snr_db
        else:
            return None
        self._asked_again = False
        self._spoken += 1
        noise = hangar_noise(len(voice) / RATE_HZ, self._rng)
        audio = Audio(mix_at_snr(voice, noise, snr_db), self._since_start())
        source = f"{self._spoken:02d}-{line.person.value.replace(' ', '-')}"
        return Utterance(self._recognizer.listen(audio, phrases), audio, source)
