"""The moments of a record at which somebody was heard, each with what was listened for then.

A record may come from anywhere. Nothing in it is followed out of it (`record/plain.py`), nothing is
written into it, and of one that is not as it was written nothing is heard. What was listened for is
what the engine listens for when it is run over the record again; from where it decides otherwise
than the record says, that is not known, and nothing is heard.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from handsfree.engine.effects import Listen
from handsfree.engine.entries import BelievedAtLast, NotHeeded
from handsfree.engine.over_the_tool import is_cut_off
from handsfree.engine.phase import Phase
from handsfree.engine.state import State
from handsfree.errors import HandsfreeError
from handsfree.files.plain import plain_bytes
from handsfree.record.chain import Chain, read_chain
from handsfree.record.clips import path_of
from handsfree.record.entries import TASK, LoggedEntry, read_entries
from handsfree.record.replay import Turn, replay
from handsfree.record.task_file import read_task_of
from handsfree.rehear.fates import Fate, Fates
from handsfree.task.model import Task
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet

_LARGEST_CLIP_BYTES = 1 << 24  # 30 s at 16 kHz are below 1 MB


class RecordNotAsWritten(HandsfreeError):
    """A record whose sound would tell nothing, for it is not what was written."""

    def __init__(self, record: Path, where: str, what: str) -> None:
        super().__init__(
            f"{record}: {where} {what}. Nothing of it was heard anew; 'handsfree verify' tells all "
            "that is wrong with it."
        )


@dataclass(frozen=True, slots=True)
class Moment:
    """Somebody was heard, in a clip that is kept."""

    record: Path
    entry: int  # that holds what was heard
    utc: str
    step: str
    task: Task
    state: State  # before it was heard
    phrases: PhraseSet  # that were listened for
    then: Heard
    acted_on: tuple[str, ...] | None  # the words; None: they were not acted on
    clip: Path
    fate: Fate  # of what was acted on


@dataclass(slots=True)
class Opened:
    """A record, as far as it can be heard anew."""

    record: Path
    task: Task
    entries: tuple[LoggedEntry, ...]
    chain: Chain
    problems: list[str] = field(default_factory=list)  # why something of it was not heard
    redacted: int = 0  # clips whose sound was removed, and that told


def open_record(record: Path) -> Opened:
    """Check that a record is as it was written, and read it.

    Raises NotPlain, TooLarge, NoRecord, RecordUnreadable, TaskFileError, EntryUnreadable or
    RecordNotAsWritten.
    """
    chain = read_chain(record)
    if chain.broken is not None:
        where = f"log.jsonl, entry {chain.broken.entry}"
        raise RecordNotAsWritten(record, where, chain.broken.why)
    if chain.opened is None:
        raise RecordNotAsWritten(record, "log.jsonl", "is empty")
    task = read_task_of(record)
    if hashlib.sha256(plain_bytes(record / TASK)).hexdigest() != chain.opened.task_sha256:
        raise RecordNotAsWritten(record, TASK, "is not the task that the record was opened with")
    return Opened(record, task, tuple(read_entries(record)), chain)


def moments_of(opened: Opened) -> Iterator[tuple[Moment, bytes]]:
    """Each moment with its clip, a FLAC file; what cannot be heard is put down in `opened`.

    Remarks are left out: they are said in any words, and their clip is what counts. So is what was
    said, or begun, while the tool spoke: none of the step's phrases was listened for there.
    """
    fates = Fates(opened.entries)
    state: State | None = None
    phrases: PhraseSet | None = None
    for turn in replay(opened.task, opened.entries):
        if turn.differences:
            opened.problems.append(
                f"{opened.record}: from entry {turn.differences[0].seq} on this version of "
                "handsfree decides otherwise than the record says, so what was listened for is not "
                "known there. Those clips were not heard anew; use the version that wrote it."
            )
            return
        moment = None if state is None else _moment(opened, turn, state, phrases, fates)
        if moment is not None and (content := _content(opened, moment)) is not None:
            yield moment, content
        state = turn.state
        phrases = next(
            (each.phrases for each in reversed(turn.effects) if isinstance(each, Listen)), phrases
        )


def _moment(
    opened: Opened, turn: Turn, state: State, phrases: PhraseSet | None, fates: Fates
) -> Moment | None:
    heard, clip = turn.event.value, turn.event.clip
    if not isinstance(heard, Heard) or heard.typed or clip is None or phrases is None:
        return None
    if state.speaking or is_cut_off(heard) or state.phase is Phase.REMARKING:
        return None
    steps = opened.task.steps
    words = _acted_on(turn, heard)
    return Moment(
        record=opened.record,
        entry=turn.event.seq,
        utc=turn.event.utc,
        step=steps[min(state.step, len(steps) - 1)].id,
        task=opened.task,
        state=state,
        phrases=phrases,
        then=heard,
        acted_on=words,
        clip=path_of(opened.record, clip),
        fate=fates.of(turn.event, turn.logged),
    )


def _acted_on(turn: Turn, heard: Heard) -> tuple[str, ...] | None:
    values = [each.value for each in turn.logged]
    if any(isinstance(each, NotHeeded) for each in values):
        return None
    believed = (each.words for each in values if isinstance(each, BelievedAtLast))
    return next(believed, heard.words) or None


def _content(opened: Opened, moment: Moment) -> bytes | None:
    """The clip as it was heard; None where it is gone or another one."""
    sha256 = moment.clip.stem
    if sha256 in opened.chain.removed:
        opened.redacted += 1
        return None
    try:
        content = plain_bytes(moment.clip, _LARGEST_CLIP_BYTES)
    except OSError as error:
        why = "is missing" if isinstance(error, FileNotFoundError) else error.strerror or str(error)
        _not_heard(opened, moment, why)
        return None
    if hashlib.sha256(content).hexdigest() != sha256:
        _not_heard(opened, moment, "is not the sound that was heard")
        return None
    return content


def _not_heard(opened: Opened, moment: Moment, why: str) -> None:
    opened.problems.append(
        f"{moment.clip}: {why} (entry {moment.entry}). It was not heard anew; 'handsfree verify' "
        "tells all that is wrong with the record."
    )
