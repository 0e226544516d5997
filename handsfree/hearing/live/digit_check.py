"""How well one person is heard: ten digits, each said once, in random order. Pure.

It takes about twenty seconds. What it counts sets how sure this person must be heard in a run.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from handsfree.engine.trust import is_believed
from handsfree.words.heard import Heard
from handsfree.words.meanings import Stated, Understood
from handsfree.words.numerals import speak_figures
from handsfree.words.phrases import BUILT_IN, PhraseSet

DIGITS = "0123456789"
NUMBER: PhraseSet = BUILT_IN["number"]

# So many of ten that are right and believed are enough. Own choice: of 100 lone digits by many
# people on microphones of their own 91 were believed, so half of all people have nine or ten.
ENOUGH = 8


@dataclass(frozen=True, slots=True)
class SaidDigit:
    """One digit that was asked for, and what was heard."""

    digit: str
    heard: Heard | None  # None: no voice came

    @property
    def figures(self) -> str | None:
        """What was heard, as figures; None: nothing, or no number."""
        return None if self.heard is None else _figures(self.heard.words)

    @property
    def is_right(self) -> bool:
        """Whether the digit was heard."""
        return self.figures == self.digit

    @property
    def is_believed(self) -> bool:
        """Whether what was heard would be read back as a value."""
        return self.heard is not None and is_believed(
            self.heard.score, NUMBER.parse(self.heard.words)
        )


@dataclass(frozen=True, slots=True)
class DigitCheck:
    """What the ten digits have shown."""

    said: tuple[SaidDigit, ...]

    @property
    def is_good(self) -> bool:
        """Whether enough were believed, and none of them wrongly."""
        return self.believed_right >= ENOUGH and self.believed_wrong == 0

    @property
    def believed_right(self) -> int:
        """How many were heard surely, and right."""
        return self.count.count(True)

    @property
    def believed_wrong(self) -> int:
        """How many were heard surely, and wrong."""
        return self.count.count(False)

    @property
    def count(self) -> tuple[bool, ...]:
        """Of each digit that was heard surely: whether it was right. See `Started.checked`."""
        return tuple(each.is_right for each in self.said if each.is_believed)

    def by_listener(self) -> dict[str, int]:
        """How many each listener has heard right by itself, in the order in which they came."""
        right: dict[str, int] = {}
        for each in self.said:
            for opinion in each.heard.opinions if each.heard is not None else ():
                agrees = _figures(opinion.words) == each.digit
                right[opinion.listener] = right.get(opinion.listener, 0) + agrees
        return right

    def lines(self) -> tuple[str, ...]:
        """The result for a person, a sentence each."""
        asked = len(self.said) - len(self.count)
        lines = [
            f"Of {len(self.said)} digits {self.believed_right} were heard right and surely, "
            f"{self.believed_wrong} wrong and surely, and {asked} would be asked for again."
        ]
        for each in self.said:
            if each.heard is None:
                lines.append(f"{speak_figures(each.digit)}: no voice was heard.")
            elif not each.is_right:
                as_what = "no number" if each.figures is None else speak_figures(each.figures)
                surely = ", and believed" if each.is_believed else ""
                lines.append(f"{speak_figures(each.digit)}: heard as {as_what}{surely}.")
        lines += [
            f"{listener}: {right} of {len(self.said)} right by itself."
            for listener, right in self.by_listener().items()
        ]
        if not self.is_good:
            lines.append(
                "Speak closer and say each digit by itself; where that does not help, use the "
                "keyboard for values."
            )
        return tuple(lines)


def spoken(digits: Sequence[str]) -> tuple[str, ...]:
    """What is said for each digit, such as "niner"."""
    return tuple(speak_figures(each) for each in digits)


def _figures(words: tuple[str, ...]) -> str | None:
    parsed = NUMBER.parse(words)
    meaning = parsed.meaning if isinstance(parsed, Understood) else None
    return meaning.figures if isinstance(meaning, Stated) else None
