"""Replay: the engine decides what the record says that it decided, or both are shown."""

import json
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console

from handsfree.cli.record import read_task_of
from handsfree.cli.replay_shown import Replayer
from handsfree.record.entries import LoggedEntry
from handsfree.record.replay import replay
from handsfree.record.values import Json
from tests.engine.conversation import BOTTLE
from tests.record.runs import Voice, entries_of, hold
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
    replayer = Replayer(folder, console, voice, player, lambda: waits.append(1))
    for turn in replay(read_task_of(folder), entries):
        replayer.show(turn)
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
        lines = out.splitlines()
        at = next(n for n, line in enumerate(lines) if words in line and "1.00" in line)
        assert f"[clip {clip[:12]}, {verdict}]" in lines[at + 1]


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
