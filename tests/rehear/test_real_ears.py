"""The real listeners find a mishearing that was put into a record."""

from datetime import timedelta
from pathlib import Path

import pytest

from demo.people import voice_line
from demo.script import Line
from handsfree.fleet import InOneProcess
from handsfree.hearing.audio import Audio
from handsfree.record import Record
from handsfree.rehear.differences import Weight
from handsfree.rehear.rehearing import Reheard, open_records, rehear
from handsfree.running.loop import run
from handsfree.running.parts import Utterance
from handsfree.task.read import read_task
from handsfree.task.roles import Headset
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet
from tests.record.runs import KEYS, Clock, NoScreen, NoSync, Voice
from tests.rehear.records import TASK

SAID_AND_HEARD = (
    ("pin fitted", "pin fitted"),
    ("pressure five five bar", "pressure six five bar"),
    ("affirm", "affirm"),
    ("left side", "left side"),
)


class _Mishearing:
    """An ear with real sound that hears what it is told to."""

    def __init__(self) -> None:
        self._lines = iter(SAID_AND_HEARD)

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Utterance | None:
        line = next(self._lines, None)
        if line is None:
            return None
        said, heard = line
        voice = Audio(voice_line(Line(Headset.TECHNICIAN, said)), timedelta(0))
        words = Heard(tuple(heard.split()), 0.99, (), (), voice.started, voice.ended)
        return Utterance(words, voice, "technician")


@pytest.mark.slow
def test_a_seeded_mishearing_is_found_by_the_real_listeners(tmp_path: Path) -> None:
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    clock = Clock()
    with Record(tmp_path / "run", TASK, clock.utc, clock.since_start, KEYS, NoSync()) as record:
        run(read_task(TASK, "test"), _Mishearing(), record, Voice(), NoScreen())
    found = Reheard()
    rehear(open_records([tmp_path / "run"], found), found, "", InOneProcess())
    (only,) = found.differences
    assert (only.then.value, only.now.value, only.now.verdict) == (
        *("65 bar", "55 bar", "below minimum"),
    )
    assert (only.weight, only.believed, only.matters) == (Weight.LIMIT_CROSSED, True, True)
    assert (found.clips, found.same) == (4, 3)
