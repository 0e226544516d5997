"""A listener that hears the same in every sound."""

from handsfree.hearing.audio import Audio
from handsfree.words.heard import Heard, Opinion
from handsfree.words.phrases import PhraseSet

FIRST = Opinion("first", ("two", "nine"), -0.1, 5.0, "29")


class Said:
    """A `Recognizer` for what only looks at the outcome."""

    def __init__(self, words: str, score: float) -> None:
        self.words, self.score = tuple(words.split()), score

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        return Heard(self.words, self.score, (), (FIRST,), audio.started, audio.ended)
