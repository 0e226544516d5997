"""Whether what is being said now may be stopped by a person's voice."""

from collections.abc import Callable

from handsfree.engine.effects import Effect, Say, Speech
from handsfree.engine.phase import Phase
from handsfree.engine.state import State
from handsfree.record.marks import NotHeard
from handsfree.task.model import Task


class Interruption:
    """A follower of the run that knows whether what is said now may be stopped by a voice.

    By any words that is an instruction which has to be answered before anything follows from it:
    whoever stops it knows it, and still has to say the phrase or the value. That of a critical step
    is said to its end. By what makes the work wait, such as "stop" or "negative", it is whatever is
    said: it counts as not heard then, and is said again before the work goes on.
    """

    def __init__(self, task: Task) -> None:
        self._task = task
        self._voice_now: Callable[[], bool] = lambda: False
        self._told_to_stop: Callable[[], bool] = lambda: False
        self._may_stop = False

    def listens_with(self, voice_now: Callable[[], bool], told_to_stop: Callable[[], bool]) -> None:
        """`voice_now` tells whether a person has been speaking for a while, `told_to_stop` whether
        somebody has said "stop" or the like."""
        self._voice_now = voice_now
        self._told_to_stop = told_to_stop

    def follows(self, state: State, effect: Effect) -> None:
        """See `Follower.follows`."""
        is_instruction = isinstance(effect, Say) and effect.speech is Speech.INSTRUCTION
        self._may_stop = is_instruction and self._waits_for_an_answer(state)

    def not_heard(self, missed: NotHeard) -> None:
        """Changes nothing."""

    def wanted(self) -> bool:
        """Whether to stop speaking now; a warning, a caution and a read-back only by "stop"."""
        return self._told_to_stop() or (self._may_stop and self._voice_now())

    def _waits_for_an_answer(self, state: State) -> bool:
        if state.phase is not Phase.ANSWERING:  # such as an inspection, which tells what was found
            return False
        step = self._task.steps[state.step]
        return step.expect is not None and not step.critical
