"""A loss is on the record, and the record replays to the same decisions."""

import json
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

from rich.console import Console

from handsfree.engine.events import HearingLost, HearingReturned
from handsfree.engine.phase import Phase
from handsfree.record import Record
from handsfree.record.entries import read_entries
from handsfree.record.replay import replay
from handsfree.running.loop import run
from handsfree.running.parts import Reached, Utterance
from handsfree.running.screen import TextScreen
from handsfree.speaking.silent import SilentSpeaker
from handsfree.words.phrases import PhraseSet
from tests.engine.conversation import BOTTLE, TASK, heard


class Ear:
    def __init__(self, *reached: Reached) -> None:
        self._reached = iter(reached)

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Reached:
        return next(self._reached, None)


def said(words: str) -> Utterance:
    return Utterance(heard(words), None, "technician")


def test_a_loss_is_on_the_record_and_replays_to_the_same_decisions(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    ear = Ear(
        said("pin fitted"),
        HearingLost("the computer slept for 12 minutes"),
        HearingReturned(),
        said("one five"),
        said("go ahead"),
        said("one five"),
        said("affirm"),
    )

    def utc_now() -> datetime:
        return datetime(2031, 5, 4, tzinfo=UTC)

    with Record(folder, BOTTLE, utc_now, lambda: timedelta(0)) as record:
        end = run(TASK, ear, record, SilentSpeaker(), TextScreen(Console(file=StringIO())))
    assert end.phase is Phase.ANSWERING
    assert dict(end.readings) == {"temperature": 15}
    log = [json.loads(line) for line in (folder / "log.jsonl").read_text().splitlines()]
    lost = next(at for at, each in enumerate(log) if each["kind"] == "hearing-lost")
    assert log[lost]["reason"] == "the computer slept for 12 minutes"
    assert log[lost + 1]["kind"] == "stood-by"
    assert any(each["kind"] == "hearing-returned" for each in log)
    # What was said before "go ahead" was not acted on.
    (passed_over,) = (each for each in log if each["kind"] == "not-heeded")
    assert passed_over["reason"] == "said while standing by"
    assert not [turn for turn in replay(TASK, read_entries(folder)) if turn.differences]


def test_a_voice_that_was_not_heard_is_on_the_record_and_replays(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    lost = iter(["the speech engine failed"])
    with Record(folder, BOTTLE, lambda: datetime(2031, 5, 4, tzinfo=UTC), timedelta) as record:
        end = run(
            *(TASK, Ear(said("pin fitted")), record),
            *(SilentSpeaker(), TextScreen(Console(file=StringIO()))),
            why_unheard=lambda: next(lost, None),
        )
    assert not end.done
    log = [json.loads(line) for line in (folder / "log.jsonl").read_text().splitlines()]
    after = next(at for at, each in enumerate(log) if each["kind"] == "voice-lost")
    assert log[after]["reason"] == "the speech engine failed"
    assert log[after + 1]["kind"] == "stood-by"
    assert not [turn for turn in replay(TASK, read_entries(folder)) if turn.differences]
