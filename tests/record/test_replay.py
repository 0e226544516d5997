"""Replay: the engine decides what the record says that it decided, or both are shown."""

import json
import shlex
from collections.abc import Iterator
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console

from handsfree.cli.moves import Move, Only
from handsfree.cli.replay_shown import Replayer, chosen
from handsfree.record import Record
from handsfree.record.entries import DECISIONS, LoggedEntry
from handsfree.record.redact import redact
from handsfree.record.replay import Turn, replay
from handsfree.record.task_file import read_task_of
from handsfree.record.values import Json
from handsfree.running.loop import run
from handsfree.running.parts import Utterance
from handsfree.task.read import read_task
from handsfree.words.heard import Heard, Opinion
from handsfree.words.phrases import PhraseSet
from tests.engine.conversation import BOTTLE
from tests.record.runs import (
    KEYS,
    SMALL,
    START,
    Clock,
    NoScreen,
    NoSync,
    Voice,
    entries_of,
    go_on,
    hold,
    lines_of,
    sound,
)
from tests.record.test_resume import LONG_SAID


class Player:
    def __init__(self) -> None:
        self.played: list[str] = []

    def play(self, clip: Path) -> None:
        self.played.append(clip.stem)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("replay") / "run"
    hold(folder, LONG_SAID, text=BOTTLE)
    return folder


def changed(folder: Path, seq: int, **fields: Json) -> list[LoggedEntry]:
    """The entries of a record, one of them with other fields."""
    from dataclasses import replace

    entries = entries_of(folder)
    entries[seq] = replace(entries[seq], fields={**entries[seq].fields, **fields})
    return entries


def shown(folder: Path, entries: list[LoggedEntry]) -> tuple[str, Voice, Player, int]:
    out, voice, player, waits = StringIO(), Voice(), Player(), []
    console = Console(file=out, width=80, highlight=False)

    def ask() -> Move:
        waits.append(1)
        return Move.ON

    replayer = Replayer(folder, entries, console, voice, player, ask)
    replayer.show_all(list(replay(read_task_of(folder), entries)))
    return out.getvalue(), voice, player, len(waits)


def test_a_record_is_replayed_to_the_same_decisions(folder: Path) -> None:
    turns = list(replay(read_task_of(folder), entries_of(folder)))
    assert sum(len(turn.logged) for turn in turns) > 60
    assert [turn.differences for turn in turns if turn.differences] == []
    assert not turns[-1].is_cut_off


def test_every_decision_that_is_changed_is_found(folder: Path) -> None:
    entries = entries_of(folder)
    tried = 0
    for entry in entries:
        if entry.kind == "say":
            there = changed(folder, entry.seq, text="Something else.")
        elif entry.kind in ("step-begun", "step-confirmed", "reading-taken", "not-heeded"):
            there = changed(folder, entry.seq, step="elsewhere")
        else:
            continue
        differences = [
            each for turn in replay(read_task_of(folder), there) for each in turn.differences
        ]
        assert [each.seq for each in differences] == [entry.seq]
        tried += 1
    print(f"{tried} changed decisions found")


def test_a_decision_that_is_missing_and_one_too_many_are_found(folder: Path) -> None:
    entries = entries_of(folder)
    said = next(entry for entry in entries if entry.kind == "say")
    task = read_task_of(folder)
    less = [each for each in entries if each is not said]
    assert any(turn.differences for turn in replay(task, less))
    more = [each for entry in entries for each in ((entry, entry) if entry is said else (entry,))]
    assert any(turn.differences for turn in replay(task, more))


def test_a_decision_that_is_missing_at_the_end_of_any_turn_but_the_last_is_found(
    folder: Path,
) -> None:
    entries, task = entries_of(folder), read_task_of(folder)
    turns = [each for each in replay(task, entries) if each.effects]
    for turn in turns[:-1]:
        if not turn.carried_out:
            continue
        last = [each for each in turn.logged if each.kind in DECISIONS][-1]
        less = [each for each in entries if each.seq != last.seq]
        (found,) = (each for turn in replay(task, less) for each in turn.differences)
        assert (found.seq, found.on_record) == (turn.event.seq, None)
        assert found.replayed == {"kind": last.kind, **last.fields}


def test_of_a_last_turn_only_what_is_missing_is_no_difference(folder: Path) -> None:
    last_say = max(each.seq for each in entries_of(folder) if each.kind == "say")
    entries = changed(folder, last_say, text="Something else.")[: last_say + 1]
    turns = list(replay(read_task_of(folder), entries))
    assert [each.seq for each in turns[-1].differences] == [last_say]
    assert [turn for turn in turns[:-1] if turn.differences] == []


def test_a_last_turn_that_a_crash_cut_off_is_no_difference(folder: Path) -> None:
    entries = entries_of(folder)
    last_say = max(entry.seq for entry in entries if entry.kind == "say")
    turns = list(replay(read_task_of(folder), entries[:last_say]))
    assert turns[-1].is_cut_off
    assert [turn for turn in turns if turn.differences] == []


def test_an_event_that_cannot_happen_is_a_difference(folder: Path) -> None:
    entries = entries_of(folder)
    started = next(entry for entry in entries if entry.kind == "started")
    turns = list(replay(read_task_of(folder), [*entries, started]))
    (difference,) = turns[-1].differences
    assert difference.replayed == {"impossible": "the task has already been started"}


def test_what_is_shown_has_words_score_clip_and_verdict(folder: Path) -> None:
    out, _, _, _ = shown(folder, entries_of(folder))
    clips = {
        " ".join(json.loads(json.dumps(entry.fields["words"]))): entry.clip
        for entry in entries_of(folder)
        if entry.kind == "heard"
    }
    for words, verdict in (
        ("pin fitted", "acted on"),
        ("what is that", "not acted on: said while standing by"),
        ("two thousand", "below minimum"),
        ("three thousand", "inside limits"),
    ):
        clip = clips[words]
        assert clip is not None
        lines = [line.strip() for line in out.splitlines()]
        at = next(n for n, line in enumerate(lines) if words in line and "1.00" in line)
        assert lines[at - 1] in {
            f"[entry {entry.seq}, {entry.at:%H:%M:%S}, technician, from clips]"
            for entry in entries_of(folder)
            if entry.clip == clip
        }
        assert lines[at + 1] == f"[score 1.00, {verdict}]"
        assert Path(shlex.split(lines[at + 2])[0]).read_bytes().startswith(b"fLaC")


def test_what_ended_a_hearing_is_shown_where_the_record_tells_it(folder: Path) -> None:
    entries = entries_of(folder)
    assert "ended after" not in shown(folder, entries)[0]  # clips: nobody waited
    heard = next(entry for entry in entries if entry.kind == "heard")
    ended_by: dict[str, Json] = {
        "kind": "ended-by",
        "rule": "more could follow",
        "after": 1024,
        "pace": 1.23,
    }
    out, *_ = shown(folder, changed(folder, heard.seq, ended_by={**ended_by, "joined": 1}))
    told = " ".join(out.split())
    assert (
        "[ended after 1.02 s: more could follow, this voice waited for 1.23 times as long, "
        "talked on 1 times before]"
    ) in told
    assert not any(
        turn.differences
        for turn in replay(read_task_of(folder), changed(folder, heard.seq, ended_by=ended_by))
    )


def test_what_was_said_is_said_again_and_every_clip_is_played(folder: Path) -> None:
    _, voice, player, waits = shown(folder, entries_of(folder))
    entries = entries_of(folder)
    assert voice.said == [entry.fields["text"] for entry in entries if entry.kind == "say"]
    assert player.played == [entry.clip for entry in entries if entry.kind == "heard"]
    assert waits == len(player.played)


def test_a_difference_is_shown_side_by_side(folder: Path) -> None:
    say = next(entry for entry in entries_of(folder) if entry.kind == "say")
    out, _, _, _ = shown(folder, changed(folder, say.seq, text="Nothing here is invented."))
    assert f"entry {say.seq} differs" in out
    rows = [line for line in out.splitlines() if "Nothing here is" in line]
    assert any("Everything here is" in row for row in rows)
    assert out.index("on the record") < out.index("replayed")


def turns_of(folder: Path) -> list[Turn]:
    return list(replay(read_task_of(folder), entries_of(folder)))


def walked(folder: Path, *moves: Move) -> list[str]:
    """What was said in the turns that are shown, where these are asked for one after the other."""
    out, asked = StringIO(), iter(moves)
    console = Console(file=out, width=80, highlight=False)
    replayer = Replayer(
        folder, entries_of(folder), console, Voice(), None, lambda: next(asked, Move.QUIT)
    )
    replayer.show_all(turns_of(folder))
    spoken = [line for line in out.getvalue().splitlines() if line.startswith("test ")]
    return [line.removeprefix("test ").removesuffix("1.00").strip() for line in spoken]


def test_what_the_clip_of_a_doubtful_hearing_may_hold_is_told_by_each_listener(
    tmp_path: Path,
) -> None:
    opinions = (
        Opinion("reader", (), -9.0, 0.1, ""),
        Opinion("whisper", (), -9.0, 0.1, "ben is in"),
    )
    doubtful = Heard(("pin", "fitted"), 0.2, (), opinions, timedelta(0), timedelta(0))
    clock = Clock()
    with Record(tmp_path / "run", SMALL, clock.utc, clock.since_start, KEYS, NoSync()) as record:
        ear = iter([Utterance(doubtful, sound("pin"), "technician")])
        run(read_task(SMALL, "t"), Given(ear), record, Voice(), NoScreen())
    out, _, _, _ = shown(tmp_path / "run", entries_of(tmp_path / "run"))
    assert "[whisper writes freely: ben is in]" in out
    assert "reader writes" not in out
    assert "[score 0.20, not acted on: doubtful hearing]" in out


class Given:
    """An ear that hears what it is given."""

    def __init__(self, utterances: Iterator[Utterance]) -> None:
        self._utterances = utterances

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Utterance | None:
        return next(self._utterances, None)


def test_kills_resumptions_and_redactions_are_marked_where_they_happened(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    hold(folder, ("pin fitted",))
    lines = lines_of(folder)
    stopped = next(at for at, line in enumerate(lines) if b'"stopped"' in line)
    (folder / "log.jsonl").write_bytes(b"".join(lines[:stopped]))
    (folder / "seal.json").unlink()
    go_on(folder)
    redact(folder, "asked by a person", KEYS, lambda: START, ())
    out, _, _, _ = shown(folder, entries_of(folder))
    text = " ".join(out.split())
    marks = ("program killed: it wrote no end", "resumption: pressure: gone on with the key of")
    assert text.index(marks[0]) < text.index(marks[1]) < text.index("affirm 1.00")
    assert "redaction: the sound of" in text
    assert "removed by T. Person: asked by a person" in text
    assert "is not there" in text


def test_a_replay_can_begin_at_a_step(folder: Path) -> None:
    turns = turns_of(folder)
    found = chosen(turns, from_step="serial")
    assert found == turns[len(turns) - len(found) :]
    begun = [each.fields["step"] for each in found[0].logged if each.kind == "step-begun"]
    assert begun == ["serial"]
    assert chosen(turns[:2], from_step="serial") == []


def test_only_exceptions_are_the_turns_in_which_something_went_wrong(folder: Path) -> None:
    found = chosen(turns_of(folder), only=Only.EXCEPTIONS)
    said = [
        " ".join(each.event.value.words) for each in found if isinstance(each.event.value, Heard)
    ]
    assert "two thousand" in said  # below the minimum
    assert "pin fitted" not in said
    other = changed(folder, turns_of(folder)[0].logged[0].seq, text="Something else.")
    differing = chosen(list(replay(read_task_of(folder), other)), only=Only.EXCEPTIONS)
    assert differing[0].event.kind == "started"


def test_one_goes_on_back_and_ends_by_a_key(folder: Path) -> None:
    heard = [
        " ".join(each.event.value.words)
        for each in turns_of(folder)
        if isinstance(each.event.value, Heard)
    ]
    first, second, third = heard[:3]
    on, back = Move.ON, Move.BACK
    assert walked(folder, on, on, back, on) == [first, second, third, second, third]
    assert walked(folder, back)[0] == walked(folder)[0]  # before the first there is none
    assert len(walked(folder)) == 1
