"""The shell: what is acknowledged is on disk first, and nothing that reaches the ear is lost."""

import json
import os
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console

from handsfree.engine.effects import Effect, Finish, Say, Write
from handsfree.engine.events import SilenceFor
from handsfree.engine.phase import Phase
from handsfree.engine.state import State
from handsfree.hearing.audio import Audio
from handsfree.record import Record, RecordNotWritten
from handsfree.record.entries import read_entries
from handsfree.record.marks import NotHeard
from handsfree.record.replay import replay
from handsfree.record.values import kind_of
from handsfree.running.ears import ClipEar, KeyboardEar, NoClips, clips_in
from handsfree.running.loop import run
from handsfree.running.parts import Ear, Utterance
from handsfree.running.screen import TextScreen, speaker_of
from handsfree.task.read import read_task
from handsfree.task.roles import Headset, Role
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet
from tests.engine.conversation import BOTTLE, TASK, TO_END, heard

WHOLE = (*TO_END, "pin removed")


class Lines:
    """An ear that is given its utterances."""

    def __init__(self, *said: "str | Utterance | NotHeard | SilenceFor") -> None:
        self._said = iter(said)

    def hear(
        self, phrases: PhraseSet, until: timedelta | None = None
    ) -> Utterance | NotHeard | SilenceFor | None:
        said = next(self._said, None)
        return Utterance(heard(said), None, "test") if isinstance(said, str) else said


class Listener:
    """A recognizer that always hears the same."""

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        return heard("pin fitted")


class Voice:
    """A speaker that notes what was on the record when it spoke."""

    def __init__(self, log: Path) -> None:
        self._log = log
        self.said: list[str] = []
        self.last_on_record: list[str | None] = []

    def say(self, text: str) -> None:
        self.said.append(text)
        self.last_on_record.append(json.loads(self._log.read_text().splitlines()[-1]).get("text"))

    def close(self) -> None:
        pass


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with Record(
        tmp_path / "run",
        BOTTLE,
        lambda: datetime(2031, 5, 4, tzinfo=UTC),
        lambda: timedelta(0),
    ) as made:
        yield made


def entries(record: Record) -> list[dict[str, object]]:
    return [json.loads(line) for line in (record.folder / "log.jsonl").read_text().splitlines()]


def hold(ear: Ear, record: Record) -> tuple[Phase, Voice, str]:
    voice = Voice(record.folder / "log.jsonl")
    shown = StringIO()
    screen = TextScreen(Console(file=shown, width=80, highlight=False))
    return run(TASK, ear, record, voice, screen).phase, voice, shown.getvalue()


def test_a_whole_task_ends_finished_with_every_step_on_the_record(record: Record) -> None:
    phase, _, _ = hold(Lines(*WHOLE), record)
    assert phase is Phase.FINISHED
    confirmed = [each["step"] for each in entries(record) if each["kind"] == "step-confirmed"]
    assert confirmed == [step.id for step in TASK.steps]


def test_everything_said_is_on_the_record_before_it_is_said(record: Record) -> None:
    _, voice, _ = hold(Lines(*WHOLE), record)
    assert voice.said
    for said, last in zip(voice.said, voice.last_on_record, strict=True):
        assert last is not None
        assert said.endswith(last)


def test_the_phrases_that_sound_alike_are_found_before_the_run(record: Record) -> None:
    text = BOTTLE.replace("confirm: pin fitted", "confirm: pin in")
    task = read_task(text.replace("confirm: pin removed", "confirm: pin out"), "t.yaml")
    screen = TextScreen(Console(file=StringIO()))
    run(task, Lines(), record, Voice(record.folder / "log.jsonl"), screen)
    assert entries(record)[1]["confusable"] == ["pin in", "pin out"]


def test_an_ear_that_ends_early_leaves_the_reason_on_the_record(record: Record) -> None:
    phase, _, _ = hold(Lines("pin fitted"), record)
    assert phase is Phase.ANSWERING
    last = entries(record)[-1]
    assert (last["kind"], last["step"], last["reason"]) == (
        "stopped",
        "temperature",
        "no more to hear",
    )


def test_an_interrupted_run_leaves_the_reason_on_the_record(record: Record) -> None:
    class Interrupted:
        def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> None:
            raise KeyboardInterrupt

    phase, _, _ = hold(Interrupted(), record)
    assert phase is Phase.ANSWERING
    assert entries(record)[-1]["reason"] == "interrupted"


def test_a_run_that_is_interrupted_while_it_speaks_leaves_the_reason_too(record: Record) -> None:
    class Interrupted(Voice):
        def say(self, text: str) -> None:
            super().say(text)
            if text.startswith("Warning. The door"):
                raise KeyboardInterrupt

    voice = Interrupted(record.folder / "log.jsonl")
    end = run(TASK, Lines(), record, voice, TextScreen(Console(file=StringIO())))
    assert end.step == 0
    assert voice.said[-1] == "Warning. The door can move."
    last = entries(record)[-1]
    assert (last["kind"], last["step"], last["reason"]) == ("stopped", "fit-pin", "interrupted")


def test_what_could_not_be_heard_is_told_and_the_run_goes_on(record: Record) -> None:
    phase, _, shown = hold(Lines(NotHeard("a.wav", "a.wav: holds no sound."), *WHOLE), record)
    assert phase is Phase.FINISHED
    assert "[not heard] a.wav: holds no sound." in shown
    missed = next(each for each in entries(record) if each["kind"] == "not-heard")
    assert missed["problem"] == "a.wav: holds no sound."


def test_the_clip_of_an_utterance_is_kept_and_named_in_its_entry(record: Record) -> None:
    audio = Audio(np.zeros(1600, np.float32), timedelta(0))
    hold(Lines(Utterance(heard("pin fitted"), audio, "01-technician")), record)
    entry = next(each for each in entries(record) if each["kind"] == "heard")
    assert (record.folder / "clips" / f"{entry['clip']}.flac").exists()
    assert entry["source"] == "01-technician"


def test_a_record_that_cannot_be_written_stops_the_voice(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    voice = Voice(record.folder / "log.jsonl")
    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(RecordNotWritten):
        run(TASK, Lines(*WHOLE), record, voice, TextScreen(Console(file=StringIO())))
    assert voice.said == [
        "The record cannot be written. The task holds. Do not go on with the work. "
        "Tell your supervisor."
    ]


def test_what_is_not_acted_on_is_shown_with_its_reason(record: Record) -> None:
    _, _, shown = hold(Lines("the weather is fine"), record)
    assert "test          the weather is fine                                   1.00" in shown
    assert "              [not acted on: doubtful hearing]" in shown


class FollowingBoard:
    """A board that notes what was on the record when it was told."""

    def __init__(self, log: Path) -> None:
        self._log = log
        self.followed: list[tuple[State, Effect]] = []
        self.on_record: list[str] = []
        self.missed: list[NotHeard] = []

    def follows(self, state: State, effect: Effect) -> None:
        self.followed.append((state, effect))
        self.on_record.append(json.loads(self._log.read_text().splitlines()[-1])["kind"])

    def not_heard(self, missed: NotHeard) -> None:
        self.missed.append(missed)


def test_a_board_follows_each_effect_and_what_is_acknowledged_only_once_it_is_on_the_record(
    record: Record,
) -> None:
    board = FollowingBoard(record.folder / "log.jsonl")
    voice = Voice(record.folder / "log.jsonl")
    silent = TextScreen(Console(file=StringIO()))
    missed = NotHeard("a.wav", "a.wav: holds no sound.")
    run(TASK, Lines(missed, *WHOLE), record, voice, silent, followers=[board])
    assert board.missed == [missed]
    said = [effect.text for _, effect in board.followed if isinstance(effect, Say)]
    # What is spoken in one breath is two entries.
    assert " ".join(said) == " ".join(voice.said)
    assert "One five degrees celsius. Inside limits. Affirm?" in voice.said
    assert isinstance(board.followed[-1][1], Finish)
    for (_, effect), kind in zip(board.followed, board.on_record, strict=True):
        if isinstance(effect, Write | Say):
            assert kind == kind_of(effect.entry if isinstance(effect, Write) else effect)


def test_long_lines_keep_the_column_of_names_free(record: Record) -> None:
    _, _, shown = hold(Lines("stand by"), record)
    assert all(line.startswith(("handsfree ", "test ", " " * 14)) for line in shown.splitlines())
    assert max(map(len, shown.splitlines())) <= 80


def test_a_person_is_known_by_the_name_of_the_clip() -> None:
    affirm = heard("affirm")
    clip = Utterance(affirm, None, "07-second-person")
    assert speaker_of(clip, Role.TECHNICIAN) == "second person"
    assert speaker_of(Utterance(affirm, None, "lunch"), Role.TECHNICIAN) == "lunch"


def test_who_types_is_known_by_the_headset_or_by_who_was_asked(record: Record) -> None:
    lines = "2: affirm\naffirm\n"
    ear = KeyboardEar(StringIO(lines), StringIO(), lambda: timedelta(0))
    _, _, shown = hold(ear, record)
    people = [line[:14].strip() for line in shown.splitlines() if " affirm " in line]
    assert people == ["second person", "technician"]


def test_clips_come_in_the_order_of_their_names(tmp_path: Path) -> None:
    for name in ("02-b.wav", "10-c.flac", "01-a.wav", "notes.txt"):
        (tmp_path / name).touch()
    assert [path.name for path in clips_in(tmp_path)] == ["01-a.wav", "02-b.wav", "10-c.flac"]


def test_a_folder_without_clips_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NoClips, match="no sound files there"):
        clips_in(tmp_path / "none")


def test_a_clip_that_is_no_sound_is_not_heard_and_the_next_one_is(tmp_path: Path) -> None:
    bad, good = tmp_path / "1.wav", tmp_path / "2.raw"
    bad.write_text("this is no sound")
    good.write_bytes(bytes(3200))
    ear = ClipEar((bad, good), Listener(), lambda: timedelta(0))
    missed = ear.hear(PhraseSet(()))
    assert isinstance(missed, NotHeard)
    assert "is not a recording that can be read" in missed.problem
    reached = ear.hear(PhraseSet(()))
    assert isinstance(reached, Utterance)
    assert reached.source == "2"
    assert ear.hear(PhraseSet(())) is None


def test_what_is_typed_with_its_punctuation_is_what_would_be_said() -> None:
    lines = "No wait, 2,950.\nAffirm!\nIt’s 12.5?\n"
    ear = KeyboardEar(StringIO(lines), StringIO(), lambda: timedelta(0))
    said = []
    while reached := ear.hear(PhraseSet(())):
        assert isinstance(reached, Utterance)
        said.append(" ".join(reached.heard.words))
    assert said == ["no wait two niner five zero", "affirm", "it's one two decimal five"]


def test_typed_figures_are_spoken_digits() -> None:
    ear = KeyboardEar(StringIO("2,950 psi\nStand by\n"), StringIO(), lambda: timedelta(0))
    said = []
    while reached := ear.hear(PhraseSet(())):
        assert isinstance(reached, Utterance)
        said.append(" ".join(reached.heard.words))
    assert said == ["two niner five zero psi", "stand by"]


@pytest.mark.parametrize("line", ["9" * 1_000_000, "affirm " * 200_000])
def test_a_typed_line_without_end_is_told_of_and_asked_for_again(line: str) -> None:
    ear = KeyboardEar(StringIO(f"{line}\nstand by\n"), StringIO(), lambda: timedelta(0))
    missed, asked, after = (ear.hear(PhraseSet(())) for _ in range(3))
    assert missed == NotHeard(
        "keyboard", "A line of more than 500 characters: no answer is so long."
    )
    assert isinstance(asked, Utterance)
    assert (asked.heard.words, asked.heard.score) == ((), 0.0)
    assert isinstance(after, Utterance)
    assert after.heard.words == ("stand", "by")


def test_a_typed_line_that_is_not_utf_8_is_told_of_and_the_run_goes_on(record: Record) -> None:
    typed = TextIOWrapper(BytesIO(b"pin f\xfctted\npin fitted\n"), "utf-8", "surrogateescape")
    ear = KeyboardEar(typed, StringIO(), lambda: timedelta(0))
    _, voice, _ = hold(ear, record)
    assert "Say again." in voice.said
    log = (record.folder / "log.jsonl").read_text()
    assert "A line that is not text in UTF-8." in log
    assert '["pin","fitted"]' in log


def test_a_clip_whose_name_is_not_utf_8_can_be_put_on_the_record(tmp_path: Path) -> None:
    name = Path(os.fsdecode(bytes(tmp_path) + b"/01-t\xfcr.wav"))
    name.write_text("no sound")
    ear = ClipEar((name,), Listener(), lambda: timedelta(0))
    missed = ear.hear(PhraseSet(()))
    assert isinstance(missed, NotHeard)
    assert missed.source == r"01-t\udcfcr.wav"
    assert (missed.source + missed.problem).isprintable()


def test_a_typed_line_is_said_when_it_is_ended_not_from_when_it_was_waited_for() -> None:
    """Else an answer that was typed after a wait would count as given before its end."""
    clock = iter(timedelta(minutes=minute) for minute in range(10))
    ear = KeyboardEar(StringIO("1500 psi\n"), StringIO(), lambda: next(clock))
    reached = ear.hear(PhraseSet(()))
    assert isinstance(reached, Utterance)
    assert reached.heard.started == reached.heard.ended == timedelta(minutes=1)


def test_a_typed_line_can_be_said_into_one_of_the_headsets() -> None:
    lines = "2: pressure 29\n3:inspected\n4: none\naffirm\n"
    ear = KeyboardEar(StringIO(lines), StringIO(), lambda: timedelta(0))
    said = []
    while reached := ear.hear(PhraseSet(())):
        assert isinstance(reached, Utterance)
        said.append((reached.heard.channel, " ".join(reached.heard.words)))
    assert said == [
        (2, "pressure two niner"),
        (3, "inspected"),
        (None, "four: none"),
        (None, "affirm"),
    ]


@pytest.mark.parametrize(
    ("name", "channel"),
    [
        ("07-technician.wav", 1),
        ("07-second-person.wav", 2),
        ("07-inspector.wav", 3),
        ("07-supervisor.wav", None),
        ("07-someone.wav", None),
        ("second-person.wav", None),
    ],
)
def test_the_name_of_a_clip_tells_whose_headset_it_is_from(name: str, channel: int | None) -> None:
    headset = Headset.of_clip(Path(name).stem)
    assert (headset and headset.channel) == channel


def test_a_silence_is_an_event_on_the_record(record: Record) -> None:
    silence = SilenceFor(timedelta(seconds=30), timedelta(seconds=30))
    _, voice, _ = hold(Lines(silence), record)
    assert voice.said[-1] == "Are you there?"
    assert any(entry["kind"] == "silence-for" for entry in entries(record))


def test_stop_over_the_tool_is_on_the_record_and_the_step_waits(record: Record) -> None:
    """In place of the end of the speech: a step that is only said was not said then."""
    stops = iter((None, Utterance(heard("stop"), None, "technician")))
    voice = Voice(record.folder / "log.jsonl")
    screen = TextScreen(Console(file=StringIO(), width=80))
    ear = Lines("pin fitted")
    state = run(TASK, ear, record, voice, screen, stop_said=lambda: next(stops, None))
    assert state.phase is Phase.STANDING_BY
    assert TASK.steps[state.step].id == "wait"
    kinds = [each["kind"] for each in entries(record)]
    stopped_at = len(kinds) - 1 - kinds[::-1].index("heard")
    assert kinds[stopped_at:][:4] == ["heard", "stood-by", "say", "spoken"]
    turns = replay(TASK, read_entries(record.folder))
    assert not [each for turn in turns for each in turn.differences]


def test_what_is_taken_back_over_the_last_words_is_on_the_record(record: Record) -> None:
    """The task has ended: nothing is left that could wait, but the record tells of it."""
    voice = Voice(record.folder / "log.jsonl")
    shown = StringIO()
    screen = TextScreen(Console(file=shown, width=80, highlight=False))
    steps = len(TASK.steps)

    def stop_said() -> Utterance | None:
        is_over = sum(each["kind"] == "step-confirmed" for each in entries(record)) == steps
        return Utterance(heard("negative"), None, "technician") if is_over else None

    state = run(TASK, Lines(*WHOLE), record, voice, screen, stop_said=stop_said)
    assert state.phase is Phase.FINISHED
    told = "Said when the task had ended, and not acted on: negative."
    missed = [each for each in entries(record) if each["kind"] == "not-heard"]
    assert [each["problem"] for each in missed] == [told]
    assert told in " ".join(shown.getvalue().split())
    turns = replay(TASK, read_entries(record.folder))
    assert not [each for turn in turns for each in turn.differences]
