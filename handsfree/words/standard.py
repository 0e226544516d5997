"""The standard words of radiotelephony, which this trade already speaks.

Sources: ICAO Annex 10 Vol II, 5.2.1.5.8 (table of words and phrases); ICAO Doc 9432, 2.6;
FAA AIM 4-2 and the Pilot/Controller Glossary. The meanings are shortened to this use.
"""

from enum import Enum


class StandardWord(Enum):
    """A standard word or phrase. The value is how ICAO writes it, in lower case."""

    AFFIRM = "affirm"  # yes
    NEGATIVE = "negative"  # no, or that is not correct
    SAY_AGAIN = "say again"  # repeat all of your last transmission
    READ_BACK = "read back"  # repeat the value back to me exactly as received
    CORRECTION = "correction"  # an error was made; the correct version is ...
    DISREGARD = "disregard"  # consider the last transmission as not sent
    STAND_BY = "stand by"  # wait; nothing is acted on
    GO_AHEAD = "go ahead"  # proceed
    UNABLE = "unable"  # I cannot do that
    HOW_DO_YOU_READ = "how do you read"  # what is the readability of my transmission
    WORDS_TWICE = "words twice"  # say every word twice

    @property
    def spellings(self) -> tuple[str, ...]:
        """Every way to say it."""
        return (self.value, *_ALSO_SAID.get(self, ()))


# Everyday words are taken only for what is harmless: to hear something once more, and to wait. What
# moves the work on has no everyday words; see `everyday.CASUAL`. Common practice, no source.
_ALSO_SAID = {
    StandardWord.AFFIRM: ("affirmative",),  # FAA Pilot/Controller Glossary
    StandardWord.STAND_BY: (
        *("standby", "wait", "wait a moment", "hold on", "hang on"),
        # Not "one second", which is a reading of a time as well.
        *("pause", "one moment", "just a moment", "just a second"),
    ),
    StandardWord.SAY_AGAIN: (
        *("repeat", "repeat that", "say that again", "say it again", "come again", "pardon"),
        *("what was that", "what did you say"),
    ),
}
