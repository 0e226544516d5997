"""The board of a run: it follows the engine, and the pages follow it."""

import json
import logging
from collections.abc import Callable
from dataclasses import asdict, replace
from enum import Enum
from typing import Any, Self

from handsfree.board.feed import Feed
from handsfree.board.site import BOARD, board_site
from handsfree.board.view import BoardView, failed_view, first_view, next_view, stopped_view
from handsfree.engine.advance import before_start
from handsfree.engine.effects import Effect
from handsfree.engine.state import State
from handsfree.errors import HandsfreeError
from handsfree.record.marks import NotHeard
from handsfree.serving.access import new_token
from handsfree.serving.server import Server, bind, is_loopback, url_of
from handsfree.task.model import Task
from handsfree.visible import visible

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8347
_diagnostics = logging.getLogger(__name__)


class LiveBoard:
    """Shows a run on the board. Nothing here waits for a page, and nothing here ends the run."""

    def __init__(self, task: Task, publish: Callable[[str], None]) -> None:
        """`publish` takes each view as JSON and returns at once."""
        self._task = task
        self._publish = publish
        self._view = first_view(task, before_start(task))
        self._failed = False
        self._show(lambda: self._view)

    def follows(self, state: State, effect: Effect) -> None:
        """`effect` begins, and the run stands at `state`."""
        self._show(lambda: next_view(self._task, state, effect, self._view))

    def not_heard(self, missed: NotHeard) -> None:
        """Something could not be taken."""
        self._show(lambda: replace(self._view, trouble=missed.problem))

    def ended(self) -> None:
        """The run has ended, finished or not."""
        self._show(lambda: stopped_view(self._view))

    def _show(self, next_one: Callable[[], BoardView]) -> None:
        if self._failed:
            return
        try:
            view = next_one()
            as_json = view_as_json(view)
        except Exception:
            # Whatever it is, it must not stop the task: the voice leads, not the board.
            _diagnostics.exception("the board cannot show where the run stands")
            self._failed = True
            view = failed_view(self._view)
            as_json = view_as_json(view)
        self._view = view
        self._publish(as_json)


def view_as_json(view: BoardView) -> str:
    """A view on one line; what has no glyph of its own is written out, so that it cannot act."""
    return json.dumps(_plain(asdict(view)), ensure_ascii=True)


def _plain(value: Any) -> Any:
    match value:
        case str():
            return visible(value)
        case Enum():
            return value.value
        case dict():
            return {key: _plain(each) for key, each in value.items()}
        case list() | tuple():
            return [_plain(each) for each in value]
    return value


class BoardNotOpened(HandsfreeError):
    """The board cannot be shown; the run goes on without it."""

    def __init__(self, host: str, port: int, error: OSError) -> None:
        reason = error.strerror or str(error)
        super().__init__(
            f"board: {host} port {port} cannot be used ({reason}). The run goes on without a "
            "board; next time name another --board-port or --board-host."
        )


class OpenBoard:
    """A board that pages can reach."""

    def __init__(self, task: Task, host: str, port: int) -> None:
        """Raises BoardNotOpened. Where other machines can reach it, a token is needed."""
        try:
            bound = bind(host, port)
        except OSError as error:
            raise BoardNotOpened(host, port, error) from error
        self._token = None if is_loopback(bound) else new_token()
        self._address = bound.getsockname()
        self._feed = Feed()
        self.board = LiveBoard(task, self._feed.publish)
        self._server = Server(board_site(self._feed, self._token, (host,)), bound, BOARD)

    @property
    def url(self) -> str:
        """Where to open it, with the token if one is needed: to be printed once, and not kept."""
        return url_of(self._address, self._token)

    def close(self) -> None:
        """Show that the run has ended, and stop."""
        self.board.ended()
        self._feed.close()
        self._server.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()
