"""Records made by the real shell and engine, quickly: no speech engine, no waiting for a disk."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from handsfree.engine.effects import Say
from handsfree.engine.entries import Entry
from handsfree.engine.state import State
from handsfree.hearing.audio import Audio
from handsfree.record import Record
from handsfree.record.entries import DECISIONS, EVENTS, LoggedEntry, NoRecord, read_entries
from handsfree.record.files import Files, SystemFiles
from handsfree.record.keys import Keys
from handsfree.record.log import Stopwatch, UtcClock
from handsfree.record.marks import NotHeard
from handsfree.record.readings import readings
from handsfree.record.replay import left_off
from handsfree.running.loop import run
from handsfree.running.parts import Utterance
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.task.roles import Role
from handsfree.words.phrases import PhraseSet
from tests.engine.conversation import heard

# Invented, like all of tests/: short, so that every byte of its record can be tried.
SMALL = """\
task: small
title: Check a bottle
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: bottle}
steps:
  - id: pin
    instruction: Fit the pin.
    expect: {confirm: pin fitted}
  - id: pressure
    instruction: Read the gauge.
    expect: {reading: pressure, unit: bar, resolution: 1, limits: {min: 10, max: 20}}
"""
SMALL_SAID = ("pin fitted", "nine", "correction one five", "affirm")
START = datetime(2031, 5, 4, 12, tzinfo=UTC)

# A fixed key, so that two runs give the same bytes. Its secret is in public: it seals nothing real.
KEYS = Keys("T. Person", Ed25519PrivateKey.from_private_bytes(bytes(range(32))))


class NoSync(SystemFiles):
    """The operating system's files without the waiting: no test here cuts the power."""

    def rename(self, old: Path, new: Path) -> None:
        new.unlink(missing_ok=True)  # ext4 waits for the disk where a file takes another's place
        old.rename(new)

    def sync(self, descriptor: int) -> None:
        pass

    def sync_folder(self, path: Path) -> None:
        pass


@dataclass
class Clock:
    """A clock on the wall and a stopwatch that go on by a second whenever the stopwatch is read."""

    now: datetime = START
    runs: timedelta = timedelta(0)

    def utc(self) -> datetime:
        return self.now

    def since_start(self) -> timedelta:
        self.runs += timedelta(seconds=1)
        self.now += timedelta(seconds=1)
        return self.runs


def sound(words: str) -> Audio:
    """A short sound that is different for other words."""
    tone = np.sin(np.arange(80) * (1 + len(words)), dtype=np.float32) / 2
    return Audio(tone.astype(np.float32), timedelta(0))


class Lines:
    """An ear that is given what it hears, and how often it has listened."""

    def __init__(self, said: Iterable[str], with_sound: bool = True) -> None:
        self._said = iter(said)
        self._with_sound = with_sound

    def hear(
        self, phrases: PhraseSet, until: timedelta | None = None
    ) -> Utterance | NotHeard | None:
        words = next(self._said, None)
        if words is None:
            return None
        return Utterance(heard(words), sound(words) if self._with_sound else None, "test")


# What is asked last, and the right answer to it, in the tasks that are run here.
_ANSWERS = (
    ("ffirm", "affirm"),
    ("go ahead", "go ahead"),
    ("pin fitted", "pin fitted"),
    ("pin removed", "pin removed"),
    ("emperature", "one four"),
    ("gauge", "one five"),
    ("in bar", "one five"),
    ("ressure", "three thousand"),
    ("part number", "kilo delta four seven bravo"),
    ("left side", "left side"),
)


class Answering:
    """An ear with a person before it who answers rightly what the voice asked last."""

    def __init__(self, voice: "Voice") -> None:
        self._voice = voice

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Utterance:
        asked = self._voice.said[-1]
        words = next(answer for what, answer in _ANSWERS if what in asked)
        return Utterance(heard(words), sound(words), "test")


@dataclass
class Voice:
    """A speaker that keeps what it said."""

    said: list[str] = field(default_factory=list)

    def say(self, text: str) -> None:
        self.said.append(text)

    def close(self) -> None:
        pass


class NoScreen:
    """Nobody looks."""

    def said(self, say: Say) -> None:
        pass

    def heard(self, utterance: Utterance, by: Role) -> None:
        pass

    def not_heard(self, missed: NotHeard) -> None:
        pass

    def decided(self, entry: Entry) -> None:
        pass


def hold(
    folder: Path,
    said: Iterable[str] = SMALL_SAID,
    *,
    text: str = SMALL,
    keys: Keys | None = KEYS,
    files: Files | None = None,
    voice: Voice | None = None,
    utc_now: UtcClock | None = None,
    since_start: Stopwatch | None = None,
    with_sound: bool = True,
) -> State:
    """A whole run into a new record."""
    clock = Clock()
    with Record(
        folder,
        text,
        utc_now or clock.utc,
        since_start or clock.since_start,
        keys,
        files or NoSync(),
    ) as record:
        ear = Lines(said, with_sound)
        return run(_task(text), ear, record, voice or Voice(), NoScreen())


def go_on(
    folder: Path,
    *,
    keys: Keys | None = KEYS,
    files: Files | None = None,
    voice: Voice | None = None,
    clock: Clock | None = None,
) -> State:
    """The rest of a run, with somebody who answers what is asked."""
    try:
        task = _task((folder / "task.yaml").read_text())
    except FileNotFoundError as error:
        raise NoRecord(folder) from error
    clock = clock or Clock(START + timedelta(hours=1))
    with Record.go_on(folder, clock.utc, clock.since_start, keys, files or NoSync()) as record:
        entries = tuple(read_entries(folder))
        where = left_off(task, entries)
        if where.is_finished:
            record.seal()
            return where.state
        voice = voice or Voice()
        return run(task, Answering(voice), record, voice, NoScreen(), left_off=where)


@cache
def _task(text: str) -> Task:
    return read_task(text, "test")


def story(folder: Path) -> list[tuple[str, object]]:
    """What happened and what was decided, without when, and without what befell the record."""
    return [
        (entry.kind, entry.fields)
        for entry in read_entries(folder)
        if entry.kind in EVENTS or entry.kind in DECISIONS
    ]


def outcome_of(folder: Path) -> list[tuple[str, object]]:
    """What came of the work: the steps that were done and with what, and how all of it ended.

    A run that was interrupted has more in its story than one that was not: each state is confirmed.
    """
    affirmed = [
        (each.step, each.value) for each in readings(entries_of(folder)) if each.affirmed == "yes"
    ]
    done = [
        (kind, found) for kind, found in story(folder) if kind in ("step-confirmed", "task-ended")
    ]
    return [*done, ("readings", affirmed)]


def lines_of(folder: Path) -> list[bytes]:
    return (folder / "log.jsonl").read_bytes().splitlines(keepends=True)


def entries_of(folder: Path) -> list[LoggedEntry]:
    return list(read_entries(folder))
