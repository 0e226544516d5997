"""Records whose sound is text: what was really said lies in the clip, whatever was heard.

Each byte of the text is one sample, which a FLAC file keeps exactly. `ReadsClips` hears it again.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np

from handsfree.fleet import InOneProcess
from handsfree.hearing.audio import Audio
from handsfree.record import Record
from handsfree.rehear.rehearing import Reheard, open_records, rehear
from handsfree.running.loop import run
from handsfree.running.parts import Utterance
from handsfree.task.read import read_task
from handsfree.words.heard import Heard, Trouble
from handsfree.words.phrases import PhraseSet
from tests.record.runs import KEYS, Clock, NoScreen, NoSync, Voice

# All invented. The second pressure lies inside limits that depend on the temperature.
TASK = """\
task: bottle
title: Check a bottle
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: bottle}
states:
  pin: {called: pin, values: [fitted, removed], start: removed, end: fitted}
steps:
  - id: pin
    instruction: Fit the pin.
    expect: {confirm: pin fitted}
    sets: {pin: fitted}
  - id: pressure
    instruction: Read the pressure.
    expect: {reading: pressure, unit: bar, resolution: 1, limits: {min: 60, max: 70}}
  - id: side
    instruction: Look where the hose runs.
    expect: {choose: [left side, right side], required: left side}
  - id: number
    instruction: Read the part number.
    expect: {identity: part number, accept: [KD-47, KD-57]}
"""
Said = str | tuple[str, str]
CUT_OFF = "... "

RIGHT: tuple[Said, ...] = (
    "pin fitted",
    "six five",
    "affirm",
    "left side",
    "kilo delta four seven",
    "affirm",
)


def sound(text: str) -> Audio:
    samples = np.frombuffer(text.encode(), np.uint8) / np.float32(256)
    return Audio(samples.astype(np.float32), timedelta(0))


class _Said:
    """An ear to which one thing was said and another was heard."""

    def __init__(self, said: Iterable[Said]) -> None:
        self._said = iter(said)

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Utterance | None:
        each = next(self._said, None)
        if each is None:
            return None
        meant, heard = (each, each) if isinstance(each, str) else each
        trouble = Trouble.CUT_OFF if heard.startswith(CUT_OFF) else None
        words, _, score = heard.removeprefix(CUT_OFF).partition(" @")
        nothing = timedelta(0)
        taken = Heard(tuple(words.split()), float(score or 0.99), (), (), nothing, nothing)
        return Utterance(replace(taken, trouble=trouble), sound(meant), "technician")


def hold(folder: Path, said: Iterable[Said] = RIGHT, text: str = TASK) -> Path:
    """A run. ("one", "two") was said "one" and heard "two"; ("one", "one @0.4") doubtfully.

    What begins with CUT_OFF was said so that its beginning was under the tool's voice.
    """
    clock = Clock()
    with Record(folder, text, clock.utc, clock.since_start, KEYS, NoSync()) as record:
        run(read_task(text, "test"), _Said(said), record, Voice(), NoScreen())
    return folder


class ReadsClips:
    """A recognizer that hears just what was said, " @0.4" as doubtful, and "noise" as nothing."""

    def __init__(self) -> None:
        self.sets: list[PhraseSet] = []

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        self.sets.append(phrases)
        text = np.round(audio.samples * 256).astype(np.uint8).tobytes().decode()
        words, _, score = text.partition(" @")
        said = () if words == "noise" else tuple(words.split())
        return Heard(said, float(score or 0.98), (), (), audio.started, audio.ended)


def reheard(*folders: Path) -> Reheard:
    """What `rehear` finds in these records, with the ears of the test."""
    found = Reheard()
    rehear(open_records(folders, found), found, "", InOneProcess())
    return found
