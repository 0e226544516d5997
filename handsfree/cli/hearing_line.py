"""One hearing as a line for a person or an object for a program."""

from dataclasses import dataclass

from handsfree.engine.trust import is_believed
from handsfree.words.heard import Heard
from handsfree.words.meanings import Dated, Identified, Stated, Understood
from handsfree.words.phrases import PhraseSet


@dataclass(frozen=True, slots=True)
class Hearing:
    """What one clip was heard to say."""

    clip: str
    words: str
    digits: str | None  # the figures as said, leading zeros kept, or a date; None: no such
    value: str | None  # `digits` as a number, in text so that no figure is lost
    unit: str | None
    score: float
    accepted: bool  # understood, and sure enough to be acted on
    ms: float  # time to read and recognize it
    error: str | None = None

    @classmethod
    def of(cls, clip: str, heard: Heard, phrases: PhraseSet, ms: float) -> "Hearing":
        """Put what was heard in figures."""
        parsed = phrases.parse(heard.words)
        digits = value = unit = None
        if isinstance(parsed, Understood):
            match parsed.meaning:
                case Stated() as stated:
                    digits, value, unit = stated.figures, f"{stated.value:f}", stated.unit
                case Identified(characters=characters):
                    digits = characters
                case Dated(iso=iso):
                    digits = iso
        believed = is_believed(heard.score, parsed, phrases.critical)
        accepted = isinstance(parsed, Understood) and believed
        words = " ".join(heard.words)
        return cls(clip, words, digits, value, unit, round(heard.score, 4), accepted, round(ms, 1))

    @classmethod
    def failed(cls, clip: str, error: str) -> "Hearing":
        """A clip that could not be read."""
        return cls(clip, "", None, None, None, 0.0, False, 0.0, error)

    def as_object(self) -> dict[str, str | float | bool | None]:
        """Keys clip, words, digits, value, unit, score, accepted, ms; error only where there is."""
        found: dict[str, str | float | bool | None] = {
            "clip": self.clip,
            "words": self.words,
            "digits": self.digits,
            "value": self.value,
            "unit": self.unit,
            "score": self.score,
            "accepted": self.accepted,
            "ms": self.ms,
        }
        return found if self.error is None else found | {"error": self.error}

    def as_line(self) -> str:
        """What was heard, for a person to read."""
        if self.error is not None:
            return f"{self.clip}: not heard"
        verdict = "accepted" if self.accepted else "ask again"
        number = f" = {self.digits}" if self.digits is not None else ""
        said = f"{self.words or '(nothing that fits)'}{number}"
        return f"{self.clip}: {said}  {verdict}, score {self.score:.2f}, {self.ms:.0f} ms"
