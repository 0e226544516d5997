"""Whether free text says the same as words of a phrase set, however it is spelled.

"2,950 psi.", "two niner five zero p s i" and "29 50 PSI" are the same thing said. Both sides are
brought to one string: words in lower case, numbers as figures, nothing between them.
"""

import re
from collections.abc import Iterable
from itertools import groupby

from handsfree.words.fractions import speak_measured
from handsfree.words.numerals import digit, figures_of, number
from handsfree.words.spoken_numbers import speak_figures

_PIECES = re.compile(r"(?<![\w.,])-(?=\d)|\d|[^\W\d_]+|°")
_POINT = re.compile(r"(?<=\d)\.(?=\d)")
# The radiotelephony nine, to a network that has hardly heard it.
_NINE_OR = re.compile(r"\b(?:9|nine) or\b")
_X_RAY = re.compile(r"\bx[- ]ray\b")
# "3 5/16" and "3 and 5/16", as parts of an inch are written.
_FRACTION = re.compile(r"(\d\s+(?:and\s+)?)?(?<![\d/])(1?\d)/(2|4|8|16)(?![\d/])")
# "A half" and "half" are one half.
_ONE_PART = re.compile(
    r"\ba (?=(?:half|quarter|eighth|sixteenth)\b)|(?<!\bone )(?<!\ba )\b(?=half\b)"
)
_MINUS = "minus"
# The point is left out: the network writes "seven fifty five" as "7.55".
_LEFT_OUT = frozenset({"point", "decimal"})
_SAME = {
    "-": _MINUS,
    "°": "degrees",
    # Words that sound as a figure does, which the network writes for lack of context.
    "o": "oh",
    "to": "two",
    "too": "two",
    "for": "four",
    "ate": "eight",
    "won": "one",
    # Spellings of one word.
    "alpha": "alfa",
    "juliet": "juliett",
    "meter": "metre",
    "meters": "metres",
    "millimeter": "millimetre",
    "millimeters": "millimetres",
    "okay": "ok",
    "fourth": "quarter",
    "fourths": "quarters",
}


def says_the_same(words: Iterable[str], text: str) -> bool:
    """Whether `text` says `words`; false where nothing is said at all."""
    said = canonical(" ".join(words))
    return said != "" and said == canonical(text)


def canonical(text: str) -> str:
    """`text` with every number as figures and no spaces, points, punctuation or capitals."""
    numeric = number().vocabulary
    heard = (word for word in as_words(text) if word not in _LEFT_OUT)
    return "".join(
        _figures(tuple(run)) if is_number else "".join(run)
        for is_number, run in groupby(heard, numeric.__contains__)
    )


def has_figures(words: Iterable[str]) -> bool:
    """Whether a number is among `words`."""
    return any(each.isdigit() for each in canonical(" ".join(words)))


def as_words(text: str) -> tuple[str, ...]:
    """`text` as it would be spoken with numbers digit by digit: lower case, no punctuation."""
    text = _NINE_OR.sub("niner", _X_RAY.sub("xray", text.lower().replace("'", "")))
    text = _ONE_PART.sub("one ", _FRACTION.sub(_spoken_fraction, text))
    words: list[str] = []
    for found in _PIECES.findall(_POINT.sub(" decimal ", text)):
        spoken = speak_figures(found) if found.isascii() and found.isdigit() else found
        words.append(_SAME.get(spoken, spoken))
    return tuple(words)


def _spoken_fraction(found: re.Match[str]) -> str:
    whole, over, parts = found.groups(default="")
    if int(over) >= int(parts) or over == "0":
        return found.group()
    return f"{whole[:1]}{' and ' if whole else ''}{speak_measured(f'{over}/{parts}')}"


def _figures(run: tuple[str, ...]) -> str:
    """The figures of number words; word by word where together they are no number."""
    whole = sorted(number().readings_of(run))
    if whole:
        return figures_of(whole[0])
    return "".join(_figures_of_one(word) for word in run)


def _figures_of_one(word: str) -> str:
    marks = sorted(digit().readings_of((word,)) or number().readings_of((word,)))
    return figures_of(marks[0]) if marks else word
