"""How fast and how loud the tool speaks, changed by word within bounds.

The core counts in steps; what a step is in speed and loudness, the voice knows.
"""

from dataclasses import dataclass, replace

from handsfree.words.plain import PlainWord

MOST = 2  # steps up or down: beyond, speech is hard to follow, or to bear


@dataclass(frozen=True, slots=True)
class Delivery:
    """Steps from the usual, -MOST to MOST."""

    pace: int = 0
    loudness: int = 0

    def changed_by(self, word: PlainWord) -> "Delivery":
        """The delivery after the word; the same where it is at its bound."""
        match word:
            case PlainWord.SLOWER:
                return replace(self, pace=max(-MOST, self.pace - 1))
            case PlainWord.FASTER:
                return replace(self, pace=min(MOST, self.pace + 1))
            case PlainWord.QUIETER:
                return replace(self, loudness=max(-MOST, self.loudness - 1))
            case PlainWord.LOUDER:
                return replace(self, loudness=min(MOST, self.loudness + 1))
        raise ValueError(f"'{word.value}' does not change how the tool speaks")
