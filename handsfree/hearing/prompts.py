"""What Whisper is told was said just before, and how it would write what is listened for.

It writes on in the manner of what it has read. Numbers in words make the restricted decoding go on
in words; numbers in figures make the free one go on in figures, each repeated as it is said.
"""

from handsfree.hearing.agreement import has_figures
from handsfree.words.alphabet import LETTER_WORDS
from handsfree.words.phrases import Confirmation, PhraseSet, Standard
from handsfree.words.spoken_numbers import speak_figures

_NUMBERS_IN_WORDS = (
    "one two three four five six seven eight nine or oh zero decimal point p s i, "
    "one three decimal five bar"
)
_NUMBERS_IN_FIGURES = "4 4 7 2, 0 1 8 8 8, 52 19, 2 9 5 0 psi, 13 decimal 5, 0 0 6."
# Where letters may come it is shown each of them, with two figures behind. In noise "papa six five"
# is "half the 6 5" to it else, and "foxtrot seven three" is "five six seven three".
_FIGURES_BEHIND = (
    *("12", "33", "81", "57", "49", "20", "76", "18", "34", "62", "95", "07", "83"),
    *("51", "46", "29", "70", "13", "68", "92", "05", "90", "27", "64", "38", "59"),
)
_SPELLED = [
    (spellings[0].capitalize(), figures)
    for spellings, figures in zip(LETTER_WORDS.values(), _FIGURES_BEHIND, strict=True)
]
_SPELLED_IN_WORDS = ", ".join(f"{name} {speak_figures(each)}" for name, each in _SPELLED)
_SPELLED_IN_FIGURES = " ".join(f"{name} {' '.join(each)}." for name, each in _SPELLED)
_NAMES = frozenset(name for spellings in LETTER_WORDS.values() for name in spellings)
_ASKING = frozenset(("what", "what's", "whats", "which", "how", "where"))


def before_words(words: frozenset[str]) -> str:
    """Before what is written in words, of which `words` are some."""
    if _NAMES.isdisjoint(words):
        return _NUMBERS_IN_WORDS
    return f"{_SPELLED_IN_WORDS}, {_NUMBERS_IN_WORDS}"


def before_free_text(phrases: PhraseSet) -> str:
    """Before what is written freely, when one of `phrases` may be said.

    It is told the valid phrases too: "affirm" is "a firm" or "F-R-M" to it else, "bottle pin" a
    "bottle pen". It stays free to write what it hears instead, and does.
    """
    spelled = "" if _NAMES.isdisjoint(phrases.vocabulary) else f"{_SPELLED_IN_FIGURES} "
    return f"{told(phrases)} {spelled}{_NUMBERS_IN_FIGURES}"


def told(phrases: PhraseSet) -> str:
    """The fixed phrases as sentences, the standard words last: what is cut is at the beginning."""
    fixed = [each.phrase for each in phrases.phrases if isinstance(each, Confirmation)]
    fixed += [each.word.value for each in phrases.phrases if isinstance(each, Standard)]
    return " ".join(sentence(tuple(each.split())) for each in fixed)


def is_sentence(words: tuple[str, ...]) -> bool:
    """Whether it would be written as a sentence: whatever has no number in it."""
    return not has_figures(words)


def sentence(words: tuple[str, ...]) -> str:
    """`words` as the network writes a sentence."""
    end = "?" if words[0] in _ASKING else "."
    return f"{' '.join(words).capitalize()}{end}"
