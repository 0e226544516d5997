"""Has the voice ready before it is needed."""

import logging
from collections.abc import Callable

from handsfree.engine.effects import Effect, Listen
from handsfree.engine.foreseen import answer_to, likely_answers
from handsfree.engine.state import State
from handsfree.record.marks import NotHeard
from handsfree.task.model import Task
from handsfree.words.heard import Heard

_diagnostics = logging.getLogger(__name__)

Prepare = Callable[[tuple[str, ...]], None]


class Foresight:
    """A follower of the run that tells the voice what may have to be said next.

    That only saves time, so where it fails the run goes on without it.
    """

    def __init__(self, task: Task, expect: Prepare, hurry: Prepare) -> None:
        """`expect` takes all that is likely now; `hurry` what is all but sure."""
        self._task = task
        self._expect = expect
        self._hurry = hurry
        self._state: State | None = None
        self._failed = False

    def follows(self, state: State, effect: Effect) -> None:
        """See `Follower.follows`."""
        self._state = state if isinstance(effect, Listen) else None
        if isinstance(effect, Listen):
            self._prepare(lambda: self._expect(likely_answers(self._task, state)))

    def not_heard(self, missed: NotHeard) -> None:
        """Changes nothing."""

    def maybe(self, heard: Heard) -> None:
        """This may turn out to be what was said. Called from the thread that recognizes."""
        state = self._state
        if state is not None:
            self._prepare(lambda: self._hurry(answer_to(self._task, state, heard)))

    def _prepare(self, prepare: Callable[[], None]) -> None:
        if self._failed:
            return
        try:
            prepare()
        except Exception:
            _diagnostics.exception("the voice is not made ready ahead")
            self._failed = True
