"""What is said when a part of the tool itself has failed."""

from handsfree.engine.effects import Say, Speech
from handsfree.engine.wording.saying import say


def screen_lost() -> Say:
    """The screen can show nothing more, and whoever only looks would wait for ever."""
    return say(Speech.CAUTION, "The screen shows nothing more. The task goes on by voice.")


def run_failed() -> Say:
    """The last thing that is said when the program itself has failed."""
    return say(
        Speech.WARNING,
        "This program has failed and stops now. The task holds. Do not go on with the work. "
        "Tell your supervisor.",
    )


def record_not_written() -> Say:
    """The last thing that is said when nothing can be proved any more."""
    return say(
        Speech.WARNING,
        "The record cannot be written. The task holds. Do not go on with the work. "
        "Tell your supervisor.",
    )
