"""The board beside a run: it follows the engine, and its failures are its own."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from handsfree.board import live
from handsfree.board.live import LiveBoard
from handsfree.record.marks import NotHeard
from tests.engine.conversation import TASK, TO_END, Conversation


class Shown:
    """What a page would have got."""

    def __init__(self) -> None:
        self.views: list[dict[str, Any]] = []

    def __call__(self, view: str) -> None:
        self.views.append(json.loads(view))

    @property
    def last(self) -> dict[str, Any]:
        return self.views[-1]


def followed(*utterances: str) -> tuple[LiveBoard, Shown]:
    shown = Shown()
    board = LiveBoard(TASK, shown)
    run = Conversation()
    real: Callable[..., None] = run.send

    def send(event: Any) -> None:
        real(event)
        for effect in run.last:
            board.follows(run.state, effect)

    run.send = send  # type: ignore[method-assign]
    run.start().say(*utterances)
    return board, shown


def test_a_board_is_there_before_the_run_has_begun() -> None:
    shown = Shown()
    LiveBoard(TASK, shown)
    assert shown.last["activity"] == "getting ready"


def test_a_whole_task_ends_finished() -> None:
    board, shown = followed(*TO_END, "pin removed")
    board.ended()
    assert shown.last["activity"] == "finished"


def test_a_run_that_ends_early_is_shown_as_stopped() -> None:
    board, shown = followed("pin fitted")
    board.ended()
    assert shown.last["activity"] == "stopped"


def test_what_could_not_be_taken_is_shown_until_the_next_decision() -> None:
    board, shown = followed()
    board.not_heard(NotHeard("a.wav", "a.wav: holds no sound."))
    assert shown.last["trouble"] == "a.wav: holds no sound."


def test_a_board_that_fails_says_so_once_and_lets_the_run_go_on(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object) -> None:
        raise KeyError("a phase that the board does not know")

    monkeypatch.setattr(live, "next_view", broken)
    _, shown = followed("pin fitted")
    assert [view["activity"] for view in shown.views] == ["getting ready", "board failed"]
    assert "the board cannot show where the run stands" in caplog.text
