"""Which characters a person can see: the others could hide or turn what a text says."""

# Default_Ignorable_Code_Point of the Unicode Character Database, DerivedCoreProperties.txt, as far
# as Python takes them for printable: fillers that look like a space, and marks that join to the
# letter before. The braille blank is a pattern of no dots.
_UNSEEN = frozenset(
    chr(code)
    for first, last in (
        (0x034F, 0x034F),
        (0x115F, 0x1160),
        (0x17B4, 0x17B5),
        (0x180B, 0x180F),
        (0x2800, 0x2800),
        (0x3164, 0x3164),
        (0xFE00, 0xFE0F),
        (0xFFA0, 0xFFA0),
        (0xE0100, 0xE01EF),
    )
    for code in range(first, last + 1)
)


def is_seen(character: str) -> bool:
    """Whether it has a glyph of its own, or is a space."""
    return character.isprintable() and character not in _UNSEEN
