"""What hears one utterance."""

from typing import Protocol, runtime_checkable

from handsfree.hearing.audio import Audio
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet


class Recognizer(Protocol):
    """Hears one utterance, by one listener or by several whose opinions it weighs."""

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        """The words of `phrases` that were most likely said, with how far to believe them.

        Any sound gives an answer: silence, noise and speech outside `phrases` give a low score,
        or no words and the score 0. Nothing is raised.
        """


@runtime_checkable
class MadeReady(Protocol):
    """A recognizer that is quicker once it knows what may be said."""

    def make_ready(self, phrases: PhraseSet) -> None:
        """Do now what the first utterance that may be one of `phrases` would have to wait for."""
