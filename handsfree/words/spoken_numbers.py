"""How a number is spoken: digit by digit in the words of ICAO, or in groups as people say it."""

import re
from decimal import Decimal

from handsfree.words.number_words import TEEN_WORDS, TENS_WORDS, USUAL_DIGIT_WORDS

# 2,950 or 12.5 or 25-66-41, and -20 where no letter or figure stands before the sign.
_NUMBER_IN_TEXT = re.compile(r"(?:(?<![\w-])-)?\d+(?:[.,-]\d+)*")

_SPOKEN = USUAL_DIGIT_WORDS | {"9": "niner", ".": "decimal", "-": "minus"}

_MOST_GROUPED = 6  # figures


def speak_figures(figures: str) -> str:
    """Say `figures` (0 to 9, ".", "-") one by one: "29.5" is "two niner decimal five".

    "Niner" and "decimal" are the ICAO words (Annex 10 Vol II, 5.2.1.4.3.1 and 5.2.1.4.1.4).
    """
    return " ".join(_SPOKEN[figure] for figure in figures)


def speak_number(value: Decimal) -> str:
    """Say `value` digit by digit, every figure that it holds and no more."""
    return speak_figures(f"{value:f}")


def speak_text(text: str) -> str:
    """`text` with each number in it said digit by digit, so "25-66" is "two five six six"."""
    return _NUMBER_IN_TEXT.sub(_say_match, text)


def _say_match(match: re.Match[str]) -> str:
    # A hyphen between figures joins a reference; only one before a lone number is a minus sign.
    figures = match.group().replace(",", "")
    minus = "-" if figures.startswith("-") else ""
    spoken = speak_figures(minus + figures.replace("-", ""))
    # "R12" is a letter and figures: "R one two".
    joined = match.start() > 0 and match.string[match.start() - 1].isalnum()
    return f" {spoken}" if joined else spoken


def speak_in_groups(figures: str) -> str:
    """`figures` as people say a number: "3050" is "three thousand fifty".

    Decimals are said one by one; so is a number of more than six figures before them.
    """
    sign = "minus " if figures.startswith("-") else ""
    whole, point, decimals = figures.removeprefix("-").partition(".")
    whole = whole.lstrip("0") or "0"
    said = speak_figures(whole) if len(whole) > _MOST_GROUPED else _grouped(int(whole))
    return f"{sign}{said}{f' decimal {speak_figures(decimals)}' if point else ''}"


def _grouped(number: int) -> str:
    thousands, rest = divmod(number, 1000)
    hundreds, last = divmod(rest, 100)
    parts = [f"{_grouped(thousands)} thousand"] if thousands else []
    parts += [f"{speak_figures(str(hundreds))} hundred"] if hundreds else []
    if last in range(10, 20):
        parts.append(TEEN_WORDS[str(last)])
    elif last:
        tens, units = divmod(last, 10)
        parts += [TENS_WORDS[str(tens)]] if tens else []
        parts += [speak_figures(str(units))] if units else []
    return " ".join(parts) or "zero"
