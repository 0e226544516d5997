"""What the tool says, sentence by sentence."""

from handsfree.engine.wording import (
    failures,
    findings,
    help,
    interruptions,
    people,
    replies,
    steps,
    values,
)

__all__ = ["failures", "findings", "help", "interruptions", "people", "replies", "steps", "values"]
