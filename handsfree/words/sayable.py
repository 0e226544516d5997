"""Which characters an English voice says as they are meant.

A letter of another alphabet is spelled, left out or read as something else, and so is an arrow or a
picture: whoever has both hands in the work would hear another text than the author wrote.
"""

import unicodedata

# Signs of the trade and of printed text that are said, or are a pause. From trying the two voices.
_SIGNS = frozenset("°±×÷·–—‘’“”„…§µμΩΩ€£½¼¾²³™®©\u00a0")


def is_sayable(character: str) -> bool:
    """Whether it is a Latin letter, a mark on one, a space, or a figure or sign that is said."""
    if character.isascii() or character in _SIGNS:
        return True
    kind = unicodedata.category(character)
    if kind.startswith("L"):
        return unicodedata.name(character, "").startswith("LATIN ")
    return kind == "Mn" or kind == "Zs"
