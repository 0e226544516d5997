"""The ICAO spelling alphabet, for serial and part numbers."""

from functools import cache

from handsfree.words.automaton import Automaton, choice, many, one_of, optional, sequence, word
from handsfree.words.numerals import figure, speak_figures

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

    With `repeats` also "double four", see `numerals.figure`.
    """
    letters = one_of(
        (spelling, letter) for letter, all_ in LETTER_WORDS.items() for spelling in all_
    )
    one = choice(letters, figure(repeats))
    # A hyphen is on the label and people read it out; what is kept has none.
    return sequence(one, optional(many(sequence(optional(_hyphen()), one))))


def _hyphen() -> Automaton:
    return choice(word("dash"), word("hyphen"))


def speak_characters(text: str) -> str:
    """Say an identity such as "K047B": "kilo zero four seven bravo". Hyphens are not spoken."""
    return " ".join(
        speak_figures(each) if each.isdigit() else LETTER_WORDS[each][0]
        for each in text.upper()
        if each != "-"
    )
