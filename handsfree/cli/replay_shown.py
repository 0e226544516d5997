"""A replay for a person: who said what, how well it was heard, what came of it, and the sound."""

import json
import logging
from collections.abc import Callable
from pathlib import Path

from rich.console import Console
from rich.table import Table
from rich.text import Text

from handsfree.engine.effects import Say
from handsfree.engine.entries import NotHeeded, ReadingRefused, ReadingTaken
from handsfree.errors import HandsfreeError
from handsfree.record.clips import path_of
from handsfree.record.entries import LoggedEntry
from handsfree.record.marks import NotHeard, Reminded
from handsfree.record.replay import Difference, Turn
from handsfree.record.values import JsonObject
from handsfree.running.parts import Utterance
from handsfree.running.screen import TextScreen
from handsfree.speaking import Speaker
from handsfree.speaking.playing import Player
from handsfree.visible import escaped
from handsfree.words.heard import Heard

_diagnostics = logging.getLogger(__name__)


class Replayer:
    """Shows the turns of a record, and lets them be heard."""

    def __init__(
        self,
        folder: Path,
        console: Console,
        speaker: Speaker,
        player: Player | None,
        wait: Callable[[], None],
    ) -> None:
        """`player` is None where clips are not played; `wait` ends when the next turn may come."""
        self._folder = folder
        self._console = console
        self._screen = TextScreen(console)
        self._speaker = speaker
        self._player = player
        self._wait = wait

    def show(self, turn: Turn) -> None:
        """One event and what followed, as it is on the record; then where the engine differs."""
        event = turn.event.value
        if isinstance(event, Heard):
            self._heard(turn.event, event, _verdict(turn))
        for entry in turn.logged:
            self._followed(entry)
        for difference in turn.differences:
            self._console.print(side_by_side(difference))
        if isinstance(event, Heard):
            self._wait()

    def _heard(self, entry: LoggedEntry, heard: Heard, verdict: str) -> None:
        self._screen.heard(Utterance(heard, None, entry.source or ""))
        if entry.clip is None:
            self._note(f"typed, {verdict}")
            return
        path = path_of(self._folder, entry.clip)
        sound = f"clip {entry.clip[:12]}" if path.exists() else f"clip {entry.clip[:12]}, removed"
        self._note(f"{sound}, {verdict}")
        if self._player is not None and path.exists():
            try:
                self._player.play(path)
            except HandsfreeError as error:
                _diagnostics.warning("%s", error)

    def _followed(self, entry: LoggedEntry) -> None:
        match entry.value:
            case Say() as say:
                self._screen.said(say)
                self._speaker.say(say.text)
            case Reminded(text=text):
                self._note(f"said again: {text}")
            case NotHeard() as missed:
                self._screen.not_heard(missed)

    def _note(self, text: str) -> None:
        self._console.print(f"{'':14}[{escaped(text)}]", style="dim", markup=False, soft_wrap=True)


def _verdict(turn: Turn) -> str:
    for entry in turn.logged:
        match entry.value:
            case NotHeeded(reason=reason):
                return f"not acted on: {reason.value}"
            case ReadingTaken(verdict=verdict):
                return verdict.value
            case ReadingRefused(reason=reason_given):
                return f"refused: {reason_given}"
    return "acted on"


def side_by_side(difference: Difference) -> Table:
    """What the record says beside what the engine decides, each field on its line."""
    table = Table("on the record", "replayed", title=f"entry {difference.seq} differs")
    there, here = difference.on_record, difference.replayed
    if there is None or here is None:
        table.add_row(_whole(there), _whole(here))
        return table
    for name in sorted(there.keys() | here.keys()):
        is_same = name in there and name in here and there[name] == here[name]
        style = "dim" if is_same else "bold"
        table.add_row(_field(there, name), _field(here, name), style=style)
    return table


def _whole(found: JsonObject | None) -> Text:
    if found is None:
        return Text("(nothing)")
    return Text("\n").join(_field(found, name) for name in sorted(found))


def _field(found: JsonObject, name: str) -> Text:
    # As plain text: what somebody said is no markup.
    if name not in found:
        return Text("")
    return Text(escaped(f"{name}: {json.dumps(found[name], ensure_ascii=False)}"))
