"""What a person may ask of a replay, apart from what shows it, which takes longer to load."""

from enum import Enum


class Only(Enum):
    """Which turns are shown."""

    EXCEPTIONS = "exceptions"


class Move(Enum):
    """Where to go from a turn that was shown."""

    ON = "on"
    BACK = "back"
    QUIT = "quit"
