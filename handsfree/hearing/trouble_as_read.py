"""What is wrong with the sound of an utterance, told from what the reader made of it.

What the sound alone tells is in `trouble.py`.
"""

from handsfree.hearing.audio import Audio
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
        samples = audio.samples
        # Of the sound itself, without the silence that the reader wants behind it.
        spoken = read.features[0, : min(len(samples) // FRAME, len(read.log_probs))]
        trouble = self._one_voice.trouble_in(samples, spoken, strict=strict)
        if trouble is None and strict and self._broken_off.is_broken_off(samples, spoken):
            return Trouble.BROKEN_OFF
        return trouble
