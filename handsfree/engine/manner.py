"""How much the tool says."""

from enum import Enum


class Manner(Enum):
    """The value is how a person asks for it."""

    FULL = "full"
    BRISK = "brisk"  # for people who know the task
