"""The run as text: one line for each thing said, heard or not acted on."""

from rich.console import Console
from rich.text import Text

from handsfree.engine.effects import Say, Speech
from handsfree.engine.entries import Entry, NotHeeded
from handsfree.record.marks import NotHeard
from handsfree.running.parts import KEYBOARD, Utterance
from handsfree.task.roles import Role
from handsfree.visible import escaped

_STYLES = {Speech.WARNING: "bold", Speech.CAUTION: "bold", Speech.QUESTION: "italic"}
_WHO_WIDTH = 14
_SCORE_COLUMN = 68


class TextScreen:
    """Prints the conversation as it happens."""

    def __init__(self, console: Console) -> None:
        """Colour only helps the eye; every line reads the same without it."""
        self._console = console

    def said(self, say: Say) -> None:
        """A line of the tool."""
        self._line("handsfree", say.text, _STYLES.get(say.speech, ""))

    def heard(self, utterance: Utterance, by: Role) -> None:
        """A line of a person, with how sure the hearing is."""
        words = " ".join(utterance.heard.words) or "(nothing that fits)"
        score = f"{utterance.heard.score:.2f}"
        text = words.ljust(_SCORE_COLUMN - _WHO_WIDTH) + score
        self._line(speaker_of(utterance, by), text, "cyan")

    def not_heard(self, missed: NotHeard) -> None:
        """A clip that was passed over."""
        self._line("", f"[not heard] {missed.problem}", "red")

    def decided(self, entry: Entry) -> None:
        """Only what was not acted on needs a line: the rest is said aloud."""
        if isinstance(entry, NotHeeded):
            self._line("", f"[not acted on: {entry.reason.value}]", "dim")

    def _line(self, who: str, text: str, style: str) -> None:
        # A hanging indent keeps the column of names free.
        width = max(self._console.width - _WHO_WIDTH, 20)
        lines = Text(escaped(text), style=style).wrap(self._console, width)
        for at, line in enumerate(lines):
            name = Text((escaped(who) if at == 0 else "").ljust(_WHO_WIDTH), style="bold")
            self._console.print(name + line, soft_wrap=True)


def speaker_of(utterance: Utterance, by: Role) -> str:
    """Who speaks, for the screen: `by`, or another one that a clip is named after.

    "07-second-person" is a clip of the second person; a clip of any other name is shown by that.
    """
    if utterance.source == KEYBOARD:
        return by.value
    number, _, name = utterance.source.partition("-")
    return name.replace("-", " ") if number.isdigit() and name else utterance.source
