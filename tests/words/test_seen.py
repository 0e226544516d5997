"""Which characters a person can see.

The code points are those with Default_Ignorable_Code_Point in DerivedCoreProperties.txt of the
Unicode Character Database that Python takes for printable (from memory), and the braille blank.
"""

import pytest

from handsfree.words.seen import is_seen


@pytest.mark.parametrize(
    ("first", "last"),
    [
        ("\u034f", "\u034f"),  # combining grapheme joiner
        ("\u115f", "\u1160"),  # Hangul fillers
        ("\u17b4", "\u17b5"),  # Khmer inherent vowels
        ("\u180b", "\u180f"),  # Mongolian variation selectors
        ("\u2800", "\u2800"),  # braille blank
        ("\u3164", "\u3164"),  # Hangul filler
        ("\ufe00", "\ufe0f"),  # variation selectors
        ("\uffa0", "\uffa0"),  # halfwidth Hangul filler
        ("\U000e0100", "\U000e01ef"),  # variation selectors supplement
    ],
)
def test_fillers_and_selectors_are_not_seen_and_their_neighbours_are(first: str, last: str) -> None:
    unseen = range(ord(first), ord(last) + 1)
    assert not any(is_seen(chr(code)) for code in unseen)
    for code in (ord(first) - 1, ord(last) + 1):
        assert is_seen(chr(code)) == chr(code).isprintable(), hex(code)


@pytest.mark.parametrize("character", ["\n", "\x1b", "\u200b", "\u202e", "\ufeff", "\x00"])
def test_controls_and_what_turns_a_text_are_not_seen(character: str) -> None:
    assert not is_seen(character)


@pytest.mark.parametrize("character", ["a", " ", "°", "é", "ж", "漢", "😀"])
def test_what_has_a_glyph_or_is_a_space_is_seen(character: str) -> None:
    assert is_seen(character)
