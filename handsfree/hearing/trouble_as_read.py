"""What is wrong with the sound of an utterance, told from what the reader made of it.

What the sound alone tells is in `trouble.py`.
"""

from handsfree.hearing.audio import Audio, Samples
from handsfree.hearing.broken_off import open_broken_off
from handsfree.hearing.one_voice import open_one_voice
from handsfree.hearing.reader import FRAME, Read
from handsfree.words.heard import Trouble


class TroubleAsRead:
    """The networks that look at the reader's features."""

    def __init__(self) -> None:
        """They stay loaded; or the errors of their opening."""
        self._one_voice = open_one_voice()
        self._broken_off = open_broken_off()

    def of(self, audio: Audio, read: Read | None, *, strict: bool) -> Trouble | None:
        """What `audio` is instead of one whole utterance by one voice; None: nothing is wrong.

        `read` is None where the sound is too long for the reader. `strict` is for values and
        whatever is critical: figures of two people make a third number, and half of a word is
        another figure. Two people who speak at once seldom make a phrase that neither said, and
        half of a phrase is seldom another one.
        """
        if read is None:
            return Trouble.TOO_LONG
        samples, spoken = audio.samples, _spoken(audio, read)
        trouble = self._one_voice.trouble_in(samples, spoken, strict=strict)
        if trouble is None and strict and self._broken_off.is_broken_off(samples, spoken):
            return Trouble.BROKEN_OFF
        return trouble

    def is_surely_one_voice(self, audio: Audio, read: Read) -> bool:
        """Whether not even a value of figures, where nothing is wrong, needs to be borne out."""
        return not self._one_voice.is_unsure(_spoken(audio, read))


def _spoken(audio: Audio, read: Read) -> Samples:
    """The features of the sound itself, without the silence that the reader wants behind it."""
    return read.features[0, : min(len(audio.samples) // FRAME, len(read.log_probs))]
