"""What every listener offers."""

from typing import Protocol

from handsfree.hearing.audio import Audio
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet


class Recognizer(Protocol):
    """Listens to one utterance."""

    def listen(self, audio: Audio, phrases: PhraseSet) -> Heard:
        """The words of `phrases` that were most likely said, with how far to believe them.

        Any sound gives an answer: silence, noise and speech outside `phrases` give a low score,
        or no words and the score 0. Nothing is raised.
        """
