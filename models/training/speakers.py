"""Which AN4 speakers may be trained and tuned on, and which only reported on."""

import hashlib
from typing import Literal


def half(speaker: str) -> Literal["tuning", "reporting"]:
    """The half of an AN4 speaker, by name alone, so that every part of the project splits alike."""
    first_byte = hashlib.sha256(("handsfree:" + speaker).encode()).digest()[0]
    return "reporting" if first_byte % 2 else "tuning"
