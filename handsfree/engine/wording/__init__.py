"""What the tool says, sentence by sentence."""

from handsfree.engine.wording import (
    doubts,
    failures,
    findings,
    help,
    interruptions,
    people,
    replies,
    steps,
    values,
)

__all__ = [
    "doubts",
    "failures",
    "findings",
    "help",
    "interruptions",
    "people",
    "replies",
    "steps",
    "values",
]
