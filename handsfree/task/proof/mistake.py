"""What a question of the proof finds wrong."""

from dataclasses import dataclass

from handsfree.task.proof.explore import Cone, Leg
from handsfree.task.source import Path


@dataclass(frozen=True, slots=True)
class Mistake:
    """A mistake on some way."""

    path: Path  # of what is to be mended, in the file
    what: str
    instead: str
    way: tuple[Leg, ...]
    about: Cone
