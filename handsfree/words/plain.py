"""Plain words of the trade, where radiotelephony has no standard word. Common practice, no source.

Each word more can be heard where it was not said. So there are few, each is longer than one
syllable unless it is harmless, and each is listened for only where it means something or could be
bent into what does.
"""

from enum import Enum


class PlainWord(Enum):
    """An order to the tool. The value is how it is said."""

    WHERE_AM_I = "where am i"  # say the position, the time and what is open
    HAND_OVER = "hand over"  # one person's part ends here
    BACK_TO_STEP = "back to step"  # and its number
    CLOSE_FINDING = "close finding"  # and its number
    GO_BACK = "go back"  # ask which step is meant
    HELP = "help"  # say what can be said
    STOP = "stop"  # stand by at once, however doubtful the hearing
    SLOWER = "speak slower"
    FASTER = "speak faster"
    LOUDER = "speak louder"
    QUIETER = "speak quieter"

    @property
    def takes_number(self) -> bool:
        """Whether a number follows."""
        return self in (PlainWord.BACK_TO_STEP, PlainWord.CLOSE_FINDING)

    @property
    def spellings(self) -> tuple[str, ...]:
        """Every way to say it, without its number."""
        return (self.value, *_ALSO_SAID.get(self, ()))


_ALSO_SAID = {
    PlainWord.WHERE_AM_I: (
        "where are we",
        "where was i",
        "what step is this",
        "which step is this",
    ),
    PlainWord.HELP: ("help me", "what can i say", "what do i say"),
    PlainWord.STOP: ("no stop", "stop stop", "stop it"),
    PlainWord.SLOWER: ("slower", "slow down"),
    PlainWord.FASTER: ("faster", "speed up"),
    PlainWord.LOUDER: ("louder", "speak up"),
    PlainWord.QUIETER: ("quieter", "softer"),
    PlainWord.GO_BACK: ("go back a step", "one step back"),
}

SECOND = "second"
"""Said first by the second person, where no channel tells who speaks."""

INSPECTED = "inspected"
REJECTED = "rejected"
