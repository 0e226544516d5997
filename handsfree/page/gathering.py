"""All that the page of one record shows, gathered before anything is drawn."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from handsfree.engine.effects import Say
from handsfree.engine.entries import NotHeeded
from handsfree.page.attention import Attention, attention
from handsfree.page.readings import Reading, readings
from handsfree.page.timeline import Timeline, timeline
from handsfree.record.entries import EVENTS, LoggedEntry
from handsfree.record.speakers import Utterer, utterers
from handsfree.record.summary import Summary
from handsfree.task.model import Task
from handsfree.words.heard import Heard


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
    opinions: tuple[tuple[str, str], ...] = ()  # listener, and what it writes freely
    clip: str | None = None  # SHA-256


@dataclass(frozen=True, slots=True)
class Page:
    """What is shown of a record."""

    summary: Summary
    attention: tuple[Attention, ...]
    timeline: Timeline
    readings: tuple[Reading, ...]
    lines: tuple[Line, ...]


def gather(task: Task, entries: Sequence[LoggedEntry], summary: Summary) -> Page:
    """Everything of one record; raises EntryUnreadable."""
    said_by = utterers(entries)
    return Page(
        summary=summary,
        attention=attention(summary, entries, said_by),
        timeline=timeline(task, entries, said_by),
        readings=readings(summary),
        lines=_lines(entries, said_by, summary),
    )


def _lines(
    entries: Sequence[LoggedEntry], said_by: Mapping[int, Utterer], summary: Summary
) -> tuple[Line, ...]:
    """What people and the tool said, in its order."""
    refused = _not_acted_on(entries)
    found: list[Line] = []
    for each in entries:
        at, seconds = summary.local(each.at), each.offset.total_seconds()
        match each.value:
            case Say(text=text):
                found.append(Line(each.seq, at, seconds, "tool", True, text))
            case Heard() as heard:
                found.append(
                    Line(
                        each.seq,
                        at,
                        heard.started.total_seconds(),
                        str(said_by[each.seq].speaker),
                        False,
                        " ".join(heard.words) or "(nothing that fits)",
                        heard.score,
                        refused.get(each.seq, ""),
                        tuple(
                            (opinion.listener, opinion.free_text.strip())
                            for opinion in heard.opinions
                            if opinion.free_text.strip()
                        ),
                        each.clip,
                    )
                )
    return tuple(found)


def _not_acted_on(entries: Sequence[LoggedEntry]) -> dict[int, str]:
    """Why an utterance was not acted on, by its entry."""
    found: dict[int, str] = {}
    heard: int | None = None
    for each in entries:
        if each.kind in EVENTS:
            heard = each.seq if isinstance(each.value, Heard) else None
        elif isinstance(each.value, NotHeeded) and heard is not None:
            found[heard] = each.value.reason.value
    return found
