"""Has the voice ready before it is needed, and lets a person's voice stop a long instruction."""

import logging
from collections.abc import Callable

from handsfree.engine.effects import Effect, Listen, Say, Speech
from handsfree.engine.foreseen import answer_to, likely_answers
from handsfree.engine.state import Phase, State
from handsfree.record.marks import NotHeard
from handsfree.speaking import Speaker
from handsfree.task.model import Task
from handsfree.words.heard import Heard

_diagnostics = logging.getLogger(__name__)

Prepare = Callable[[tuple[str, ...]], None]


class Foresight:
    """A board of the run that shows nothing: it tells the voice what may have to be said next.

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
        """See `Board.follows`."""
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


class Interruption:
    """A board of the run that knows whether what is being said now may be stopped by a voice.

    That is an instruction which has to be answered before anything follows from it: whoever stops
    it knows it, and still has to say the phrase or the value. That of a critical step is said to
    its end.
    """

    def __init__(self, task: Task) -> None:
        self._task = task
        self._voice_now: Callable[[], bool] = lambda: False
        self._may_stop = False

    def listens_with(self, voice_now: Callable[[], bool]) -> None:
        """`voice_now` tells whether a person has been speaking for a while."""
        self._voice_now = voice_now

    def follows(self, state: State, effect: Effect) -> None:
        """See `Board.follows`."""
        is_instruction = isinstance(effect, Say) and effect.speech is Speech.INSTRUCTION
        self._may_stop = is_instruction and self._waits_for_an_answer(state)

    def not_heard(self, missed: NotHeard) -> None:
        """Changes nothing."""

    def wanted(self) -> bool:
        """Whether to stop speaking now. Never within a warning, a caution or a read-back."""
        return self._may_stop and self._voice_now()

    def _waits_for_an_answer(self, state: State) -> bool:
        if state.phase is not Phase.ANSWERING:  # such as an inspection, which tells what was found
            return False
        step = self._task.steps[state.step]
        return step.expect is not None and not step.critical


class HalfDuplex:
    """A speaker that tells the ear when it speaks, so that the tool never hears itself."""

    def __init__(self, speaker: Speaker, tool_speaks: Callable[[], None]) -> None:
        self._speaker = speaker
        self._tool_speaks = tool_speaks

    def say(self, text: str) -> None:
        """See `Speaker.say`."""
        self._tool_speaks()
        self._speaker.say(text)

    def close(self) -> None:
        """See `Speaker.close`."""
        self._speaker.close()
