"""The ICAO spelling alphabet, for serial and part numbers."""

from functools import cache

from handsfree.words.automaton import Automaton, choice, many, one_of, optional, sequence, word
from handsfree.words.numerals import figure
from handsfree.words.spoken_numbers import speak_figures

# ICAO Annex 10 Vol II, figure 5-1. The common English spellings are accepted beside the ICAO ones
# because recognizers write them.
LETTER_WORDS = {
    "A": ("alfa", "alpha"),
    "B": ("bravo",),
    "C": ("charlie",),
    "D": ("delta",),
    "E": ("echo",),
    "F": ("foxtrot",),
    "G": ("golf",),
    "H": ("hotel",),
    "I": ("india",),
    "J": ("juliett", "juliet"),
    "K": ("kilo",),
    "L": ("lima",),
    "M": ("mike",),
    "N": ("november",),
    "O": ("oscar",),
    "P": ("papa",),
    "Q": ("quebec",),
    "R": ("romeo",),
    "S": ("sierra",),
    "T": ("tango",),
    "U": ("uniform",),
    "V": ("victor",),
    "W": ("whiskey",),
    "X": ("xray",),
    "Y": ("yankee",),
    "Z": ("zulu",),
}

SPOKEN_LETTERS = frozenset(spellings[0] for spellings in LETTER_WORDS.values())


@cache
def characters(repeats: bool = False) -> Automaton:
    """Letters by the ICAO alphabet and figures digit by digit, in any mixture; emits each one.

    A "dash" or "hyphen" between two of them may be said, and adds nothing: a number is the same
    with its hyphens and without. With `repeats` also "double four", see `numerals.figure`.
    """
    letters = one_of(
        (spelling, letter) for letter, all_ in LETTER_WORDS.items() for spelling in all_
    )
    character = choice(letters, figure(repeats))
    hyphen = choice(word("dash"), word("hyphen"))
    return sequence(character, optional(many(choice(character, sequence(hyphen, character)))))


def speak_characters(text: str) -> str:
    """Say an identity such as "K047B": "kilo zero four seven bravo". Hyphens are not spoken."""
    return " ".join(
        speak_figures(each) if each.isdigit() else LETTER_WORDS[each][0]
        for each in text.upper()
        if each != "-"
    )
