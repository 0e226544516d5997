"""How well one person is heard: ten digits, each said once, in random order.

It takes about twenty seconds. What it counts sets how sure this person must be heard in a run.
"""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from handsfree.engine.trust import is_believed
from handsfree.words.heard import Heard
from handsfree.words.meanings import Stated, Understood
from handsfree.words.phrases import BUILT_IN, PhraseSet
from handsfree.words.spoken_numbers import speak_figures

if TYPE_CHECKING:
    from handsfree.hearing.live.microphone import Microphone
    from handsfree.hearing.live.voice_activity import VoiceActivity
    from handsfree.hearing.recognizer import Recognizer
    from handsfree.running.sound_in import HeadsetLine

DIGITS = "0123456789"
# A digit is said at once, or it was not understood that it should be.
WAIT_S = 5.0
NUMBER: PhraseSet = BUILT_IN["number"]

# So many of ten that are right and believed are enough. Own choice: of 100 lone digits by many
# people on microphones of their own 91 were believed, so half of all people have nine or ten.
ENOUGH = 8


# By role, of each hearing that was believed: whether it was right. See `Started.checked`.
Checked = tuple[tuple[str, tuple[bool, ...]], ...]


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


def random_order() -> tuple[str, ...]:
    """The ten digits, each once, otherwise each time: nobody says them by heart."""
    return tuple(random.sample(DIGITS, len(DIGITS)))


def ask_digits(
    microphone: "Microphone",
    channel: int,
    activity: "VoiceActivity",
    recognizer: "Recognizer",
    tell: Callable[[str], None],
    digits: Sequence[str],
) -> DigitCheck:
    """Say each of `digits`, and listen to it being said at `channel`, from 0.

    Raises MicrophoneLost.
    """
    from handsfree.cli.devices import utterance
    from handsfree.hearing.audio import Audio

    tell("Say each digit after me.")
    said = []
    for digit in digits:
        tell(f"{speak_figures(digit).capitalize()}.")
        # Opened only now: the tool must not hear itself.
        microphone.open()
        voice = utterance(microphone, channel, activity, WAIT_S)
        microphone.close()
        heard = None if voice is None else recognizer.recognize(Audio(voice, timedelta(0)), NUMBER)
        said.append(SaidDigit(digit, heard))
    return DigitCheck(tuple(said))


def check_people(
    lines: "Sequence[HeadsetLine]",
    microphones: "Sequence[Microphone]",
    recognizer: "Recognizer",
    tell: Callable[[str], None],
    show: Callable[[str], None],
) -> Checked:
    """How each person at a headset is heard; what was found is shown. Raises MicrophoneLost."""
    from handsfree.hearing.live.voice_activity import SileroActivity

    found = []
    for line in lines:
        role = line.headset.role.value
        tell(f"{role.capitalize()}.")
        microphone = microphones[line.microphone]
        digits = random_order()
        check = ask_digits(microphone, line.channel, SileroActivity(), recognizer, tell, digits)
        for each in check.lines():
            show(each)
        found.append((role, check.count))
    return tuple(found)


def _figures(words: tuple[str, ...]) -> str | None:
    parsed = NUMBER.parse(words)
    meaning = parsed.meaning if isinstance(parsed, Understood) else None
    return meaning.figures if isinstance(meaning, Stated) else None
