"""One more listener beside the embedded ones, for what is critical or in doubt.

It can take belief away and never gives any: how often it errs has not been measured, and a value
that is asked for again costs little. Where it hears something else, or nothing that fits, what the
others heard is left with the probability that it gives to that, and at least a tenth.
"""

import logging
from dataclasses import replace

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import Audio
from handsfree.hearing.models.installed import chosen, verified_folder
from handsfree.hearing.recognizer import MadeReady, Recognizer
from handsfree.hearing.vosk.listener import VoskListener, check_language
from handsfree.hearing.vosk.model import VoskModel
from handsfree.words.heard import Heard
from handsfree.words.numerals import digit
from handsfree.words.phrases import PhraseSet

_diagnostics = logging.getLogger(__name__)

# What is believed more than this needs no further opinion unless it is critical; what is believed
# less than that is asked for again whatever anyone says.
_SURE = 0.95
_DOUBTED = 0.5
_BELIEF_LEFT = 0.1


class WithOneMore:
    """A `Recognizer` whose critical and doubtful hearings are put to one more listener."""

    def __init__(self, first: Recognizer, other: VoskListener) -> None:
        """The `first` decides what was heard; the `other` may doubt it."""
        self._first = first
        self._other = other

    def make_ready(self, phrases: PhraseSet) -> None:
        """See `MadeReady`."""
        if isinstance(self._first, MadeReady):
            self._first.make_ready(phrases)

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        """See `Recognizer.recognize`. The score is never above that of the first listener."""
        heard = self._first.recognize(audio, phrases)
        doubtful = _DOUBTED <= heard.score < _SURE
        meaning = phrases.meaning_of(heard.words)
        if meaning is None or not (phrases.critical or doubtful):
            return heard
        if not self._other.can_hear(heard.words):
            return heard
        taken = self._other.take_in(audio, phrases)
        opinions = (*heard.opinions, *taken.heard.opinions)
        best = taken.weighed.best
        if best is not None and best.meaning == meaning:
            return replace(heard, opinions=opinions)
        # It finds something else at least as likely, so this is at most a half.
        left = max(_BELIEF_LEFT, taken.weighed.probability_of(meaning))
        return replace(heard, score=heard.score * left, opinions=opinions)


def with_installed(first: Recognizer) -> Recognizer:
    """`first`, with the model that was chosen to listen too; one line says why where it cannot."""
    try:
        name = chosen()
        if name is None:
            return first
        return WithOneMore(first, open_listener(name))
    except HandsfreeError as error:
        _diagnostics.warning("%s Listening without it.", error)
        return first


def open_listener(name: str) -> VoskListener:
    """The installed model `name`, ready to listen.

    Raises the errors of `installed` and of `VoskModel`, or OtherLanguage.
    """
    model = VoskModel(name, verified_folder(name))
    check_language(name, tuple(each for each in digit().vocabulary if not model.knows(each)))
    return VoskListener(model)
