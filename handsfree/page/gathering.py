"""All that the page of one record shows, gathered before anything is drawn."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from handsfree.engine.effects import Say
from handsfree.engine.entries import NotHeeded, ReadingRefused, ReadingTaken
from handsfree.engine.events import Spoken
from handsfree.page.attention import Attention, attention
from handsfree.page.curve import Curve, curves
from handsfree.page.presence import Change, presence
from handsfree.page.readings import Reading, readings
from handsfree.page.timeline import Timeline, timeline
from handsfree.page.voices import Voices, compare_voices
from handsfree.page.waits import waits
from handsfree.record.entries import LoggedEntry
from handsfree.record.speakers import Utterer, utterers
from handsfree.record.summary import Summary
from handsfree.task.model import Task
from handsfree.words.heard import Heard


@dataclass(frozen=True, slots=True)
class Listened:
    """What one listener made of an utterance."""

    listener: str
    words: str  # the best within what could be said; "" where nothing fitted
    writes: str  # with nothing forbidden


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the conversation."""

    entry: int
    at: datetime  # in local time
    seconds: float  # running time
    who: str
    is_tool: bool
    text: str
    score: float | None = None  # of what was heard
    not_acted_on: str = ""  # why
    came_of_it: str = ""  # of what was heard
    answer: str = ""  # what the tool said next
    alternatives: tuple[str, ...] = ()
    listened: tuple[Listened, ...] = ()
    clip: str | None = None  # SHA-256


@dataclass(frozen=True, slots=True)
class Page:
    """What is shown of a record."""

    summary: Summary
    attention: tuple[Attention, ...]
    timeline: Timeline
    changes: tuple[Change, ...]
    stood: tuple[tuple[int, datetime, str], ...]  # entry, when, and where, how long and why
    readings: tuple[Reading, ...]
    curves: tuple[Curve, ...]
    lines: tuple[Line, ...]
    voices: Voices | None = None  # None: nobody asked
    moments: Mapping[int, timedelta] = field(default_factory=dict)  # running time of each entry


def gather(
    task: Task,
    entries: Sequence[LoggedEntry],
    summary: Summary,
    sounds: Mapping[str, bytes] | None = None,
) -> Page:
    """Everything of one record; raises EntryUnreadable.

    Where `sounds` are given, clips by their SHA-256, the voices of the roles are compared.
    """
    said_by = utterers(entries)
    there, changes = presence(entries, summary.local)
    voices = None if sounds is None else compare_voices(entries, said_by, sounds)
    return Page(
        summary=summary,
        attention=attention(summary, entries, said_by, () if voices is None else voices.pairs),
        timeline=timeline(task, entries, said_by, there, changes),
        changes=changes,
        stood=_stood(entries, changes),
        readings=readings(summary),
        curves=tuple(curves(task, summary.passes)),
        lines=_lines(entries, said_by, summary),
        voices=voices,
        moments={each.seq: each.offset for each in entries},
    )


def _stood(
    entries: Sequence[LoggedEntry], changes: Sequence[Change]
) -> tuple[tuple[int, datetime, str], ...]:
    """Every time that the task stood or went over to somebody else, in its order."""
    times = {each.seq: each.at for each in entries}
    waited = [
        (each.entry, times[each.entry], f"{each.step}: {each.told}") for each in waits(entries)
    ]
    went_over = [(each.entry, each.at, each.told) for each in changes]
    return tuple(sorted([*waited, *went_over], key=lambda each: each[0]))


def _lines(
    entries: Sequence[LoggedEntry], said_by: Mapping[int, Utterer], summary: Summary
) -> tuple[Line, ...]:
    """What people and the tool said, in its order."""
    came = _what_came(entries)
    found: list[Line] = []
    for each in entries:
        at, seconds = summary.local(each.at), each.offset.total_seconds()
        match each.value:
            case Say(text=text):
                found.append(Line(each.seq, at, seconds, "tool", True, text))
            case Heard() as heard:
                of_it = came[each.seq]
                found.append(
                    Line(
                        each.seq,
                        at,
                        heard.started.total_seconds(),
                        str(said_by[each.seq].speaker),
                        False,
                        " ".join(heard.words) or "(nothing that fits)",
                        heard.score,
                        of_it.not_acted_on,
                        of_it.verdict,
                        " ".join(of_it.said),
                        tuple(" ".join(words) for words in heard.alternatives),
                        tuple(
                            Listened(
                                opinion.listener,
                                " ".join(opinion.words),
                                opinion.free_text.strip(),
                            )
                            for opinion in heard.opinions
                        ),
                        each.clip,
                    )
                )
    return tuple(found)


@dataclass(slots=True)
class _Came:
    """What followed an utterance, up to the next event that is none of speaking."""

    not_acted_on: str = ""
    verdict: str = "acted on"
    said: list[str] = field(default_factory=list)


def _what_came(entries: Sequence[LoggedEntry]) -> dict[int, _Came]:
    """What came of each utterance, by its entry."""
    found: dict[int, _Came] = {}
    now: _Came | None = None
    is_decided = True
    for each in entries:
        match each.value:
            case Heard():
                now = found[each.seq] = _Came()
                is_decided = False
            case Spoken():
                is_decided = True
            case NotHeeded(reason=reason) if now is not None and not is_decided:
                now.not_acted_on = reason.value
                now.verdict = f"not acted on: {reason.value}"
            case ReadingTaken(verdict=verdict) if now is not None and not is_decided:
                now.verdict = verdict.value
            case ReadingRefused(reason=why) if now is not None and not is_decided:
                now.verdict = f"refused: {why}"
            case Say(text=text) if now is not None:
                now.said.append(text)
    return found
