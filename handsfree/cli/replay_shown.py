"""A replay for a person: who said what, how well it was heard, what came of it, and the sound."""

import json
import logging
import shlex
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from rich.console import Console
from rich.table import Table
from rich.text import Text

from handsfree.cli.moves import Move, Only
from handsfree.engine.effects import Say
from handsfree.engine.entries import NotHeeded, ReadingRefused, ReadingTaken, StepBegun
from handsfree.errors import HandsfreeError
from handsfree.record.clips import path_of
from handsfree.record.entries import EVENTS, EntryUnreadable, LoggedEntry
from handsfree.record.marks import NotHeard, RecordOpened, Reminded
from handsfree.record.mishaps import Kind, Mishap, mishaps
from handsfree.record.replay import Difference, Turn
from handsfree.record.speakers import utterers
from handsfree.record.summary import zone_of
from handsfree.record.values import JsonObject
from handsfree.running.parts import Utterance
from handsfree.running.screen import TextScreen
from handsfree.speaking import Speaker
from handsfree.speaking.playing import Player
from handsfree.visible import escaped
from handsfree.words.heard import EndedBy, Heard

_diagnostics = logging.getLogger(__name__)


def chosen(
    turns: Sequence[Turn], from_step: str | None = None, only: Only | None = None
) -> list[Turn]:
    """The turns to be shown: from the first that speaks `from_step`, or those that went wrong."""
    at = 0
    if from_step is not None:
        at = next((n for n, turn in enumerate(turns) if _begins(turn, from_step)), len(turns))
    found = list(turns[at:])
    if only is Only.EXCEPTIONS:
        entries = [each for turn in turns for each in (turn.event, *turn.logged)]
        wrong = {each.entry for each in mishaps(readable(entries))}
        found = [turn for turn in found if turn.differences or not wrong.isdisjoint(_numbers(turn))]
    return found


def readable(entries: Iterable[LoggedEntry]) -> list[LoggedEntry]:
    """Those whose value this version can read; of others, the turn tells that they differ."""
    found = []
    for entry in entries:
        try:
            _ = entry.value
        except EntryUnreadable:
            continue
        found.append(entry)
    return found


def _begins(turn: Turn, step: str) -> bool:
    return any(
        isinstance(each.value, StepBegun) and each.value.step == step
        for each in readable(turn.logged)
    )


def _numbers(turn: Turn) -> set[int]:
    return {turn.event.seq, *(each.seq for each in turn.logged)}


class Replayer:
    """Shows the turns of a record, and lets them be heard."""

    def __init__(
        self,
        folder: Path,
        entries: Sequence[LoggedEntry],
        console: Console,
        speaker: Speaker,
        player: Player | None,
        ask: Callable[[], Move],
    ) -> None:
        """`player` is None where clips are not played; `ask` ends when the next turn may come."""
        self._folder = folder
        self._console = console
        self._screen = TextScreen(console)
        self._speaker = speaker
        self._player = player
        self._ask = ask
        entries = readable(entries)
        self._said_by = utterers(entries)
        self._zone = zone_of(entries)
        self._befell: dict[int, list[Mishap]] = {}
        for each in mishaps(entries):
            self._befell.setdefault(each.entry, []).append(each)

    def show_all(self, turns: Sequence[Turn]) -> None:
        """One after the other, and back, as it is asked for after each that holds an utterance."""
        at = 0
        while at < len(turns):
            self.show(turns[at])
            move = self._ask() if isinstance(turns[at].event.value, Heard) else Move.ON
            if move is Move.QUIT:
                return
            at = _heard_before(turns, at) if move is Move.BACK else at + 1

    def show_beginning(self, entries: Sequence[LoggedEntry]) -> None:
        """What stands on the record before the first event."""
        for entry in readable(entries):
            if entry.kind in EVENTS:
                return
            self._followed(entry)

    def show(self, turn: Turn) -> None:
        """One event and what followed, as it is on the record; then where the engine differs."""
        event = turn.event.value
        if isinstance(event, Heard):
            self._heard(turn.event, event, _verdict(turn))
        else:
            self._marked(turn.event)
        for entry in readable(turn.logged):
            self._followed(entry)
        for difference in turn.differences:
            self._console.print(side_by_side(difference))

    def _heard(self, entry: LoggedEntry, heard: Heard, verdict: str) -> None:
        said_by = self._said_by[entry.seq]
        self._note(
            f"entry {entry.seq}, {self._time(entry)}, {said_by.speaker}, {said_by.way.value}"
        )
        self._screen.heard(Utterance(heard, None, said_by.source), said_by.speaker.role)
        self._note(f"score {heard.score:.2f}, {verdict}")
        if heard.ended_by is not None:
            self._note(_end_told(heard.ended_by))
        if verdict.startswith(_NOT_ACTED_ON):
            for opinion in heard.opinions:
                if opinion.free_text.strip():
                    self._note(f"{opinion.listener} writes freely: {opinion.free_text.strip()}")
        if entry.clip is None:
            return
        path = path_of(self._folder, entry.clip)
        if not path.exists():
            self._note(f"clip {entry.clip} is not there")
            return
        self._line(f"{'':14}{shlex.quote(str(path))}", "dim")
        if self._player is not None:
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
            case RecordOpened(handsfree=version, by=by):
                key = "without a key" if by is None else f"with the key of {by}"
                when = f"entry {entry.seq}, {self._time(entry)}"
                self._note(f"{when}: opened by handsfree {version}, {key}")
            case _:
                self._marked(entry)

    def _marked(self, entry: LoggedEntry) -> None:
        """What befell the run or its record; what people said wrong stands beside their words."""
        for each in self._befell.get(entry.seq, ()):
            if each.kind in _MARKED:
                what = f"entry {entry.seq}, {self._time(entry)}: {each.kind.value[0]}: {each.what}"
                self._line(f"{'':14}[{what}]", "red")

    def _time(self, entry: LoggedEntry) -> str:
        return f"{entry.at.astimezone(self._zone):%H:%M:%S}"

    def _note(self, text: str) -> None:
        self._line(f"{'':14}[{text}]", "dim")

    def _line(self, text: str, style: str) -> None:
        self._console.print(escaped(text), style=style, markup=False, soft_wrap=True)


_NOT_ACTED_ON = "not acted on"
_MARKED = frozenset(
    {
        Kind.KILLED,
        Kind.CUT,
        Kind.RESUMED,
        Kind.CLOCK,
        Kind.REDACTION,
        Kind.INTERRUPTION,
        Kind.UNABLE,
        Kind.REJECTED,
        Kind.DIFFERENT,
        Kind.UNDONE,
        Kind.STATE,
        Kind.TIME,
    }
)


def _heard_before(turns: Sequence[Turn], at: int) -> int:
    """The turn before with an utterance; the first turn where there is none."""
    before = range(at - 1, -1, -1)
    return next((n for n in before if isinstance(turns[n].event.value, Heard)), 0)


def _verdict(turn: Turn) -> str:
    for entry in readable(turn.logged):
        match entry.value:
            case NotHeeded(reason=reason):
                return f"{_NOT_ACTED_ON}: {reason.value}"
            case ReadingTaken(verdict=verdict):
                return verdict.value
            case ReadingRefused(reason=reason_given):
                return f"refused: {reason_given}"
    return "acted on"


def _end_told(ended_by: EndedBy) -> str:
    told = f"ended after {ended_by.after.total_seconds():.2f} s: {ended_by.rule.value}"
    if ended_by.pace != 1:
        told += f", this voice waited for {ended_by.pace:g} times as long"
    if ended_by.joined:
        told += f", talked on {ended_by.joined} times before"
    return told


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
