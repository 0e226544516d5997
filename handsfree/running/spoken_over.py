"""What is said while the tool speaks: a wish to stop, to wait or to take something back is taken.

All else is told of, so that nothing is lost without a trace. It is listened to only where the
headset keeps the tool's own voice out of the microphone.
"""

from collections.abc import Callable
from dataclasses import dataclass

from handsfree.engine.over_the_tool import LISTENED_FOR, asks_to_wait
from handsfree.hearing.live.early import EarlyRecognition, RecognizerFailed
from handsfree.hearing.live.endpoint import Boundary, Ended, Paused, WentOn
from handsfree.running.parts import Utterance
from handsfree.running.talker import Talker
from handsfree.words.heard import EndRule, Heard

_STOPPING_FRAMES = 8  # a quarter of a second of voice stops an instruction: no cough does


@dataclass(slots=True)
class _Early:
    """What may turn out to be all that somebody said."""

    talker: Talker
    first: int
    end: int
    heard: Heard | None = None  # once it is known, and does not make the tool wait
    is_over: bool = False  # it was all that they said


class SpokenOver:
    """Listens through the voice of the tool."""

    def __init__(self, recognition: EarlyRecognition, tell: Callable[[str, str], None]) -> None:
        """`tell` is told of what is not taken: by whom, and the problem."""
        self._recognition = recognition
        self._tell = tell
        self._early: _Early | None = None
        self._stop: Utterance | None = None

    def follow(self, talker: Talker, boundary: Boundary) -> None:
        """Go on from a boundary in what a person says."""
        match boundary:
            case Paused(first, end) if _is_told(talker, first, end):
                if self._early is not None and (self._early.is_over or not self._is_of(talker)):
                    self._tell_the_rest()  # one recognizer: it listens to what came last
                self._early = _Early(talker, first, end)
                self._recognition.begin(talker.audio(first, end), LISTENED_FOR)
            case WentOn() if self._is_of(talker):
                self.drop()
            case Ended() if self._early is not None and self._is_of(talker):
                self._early.is_over = True

    @property
    def is_told_to_stop(self) -> bool:
        """Whether somebody wants the tool to stop or to wait, as far as it is known by now."""
        if self._recognition.is_done:
            self._look_for_a_stop()
        early = self._early
        if early is not None and early.is_over and early.heard is not None:
            self._tell_the_rest()
        return self._stop is not None

    def stop_said(self) -> Utterance | None:
        """The wish to stop that was heard over the tool, once; waits until it is known.

        The tool has finished: what else was said by now is told of.
        """
        self._look_for_a_stop()
        self._tell_the_rest()
        stop, self._stop = self._stop, None
        return stop

    def drop(self) -> None:
        """Forget what is being recognized."""
        if self._early is not None:
            self._recognition.drop()
        self._early = None

    def _is_of(self, talker: Talker) -> bool:
        """Whether what is being recognized is this person's."""
        return self._early is not None and self._early.talker is talker

    def _look_for_a_stop(self) -> None:
        early = self._early
        if early is None or early.heard is not None:
            return
        talker = early.talker
        try:
            early.heard = self._recognition.result()
        except RecognizerFailed as error:
            self._early = None
            self._tell(talker.person, str(error))
            return
        if asks_to_wait(early.heard):
            self._early = None
            audio = talker.audio(early.first, early.end)
            silence = talker.channel.frames_seen - early.end
            ended_by = talker.ended_by(EndRule.NOTHING_LEFT, silence)
            self._stop = talker.utterance(early.heard, audio, ended_by)

    def _tell_the_rest(self) -> None:
        early, self._early = self._early, None
        if early is not None:
            known = () if early.heard is None else early.heard.words
            words = " ".join(known) or "something that fits nothing"
            problem = f"Said while the tool spoke, and not acted on: {words}."
            self._tell(early.talker.person, problem)


def stops_the_voice(talker: Talker) -> bool:
    """Whether this person, near the microphone, has spoken for a quarter of a second."""
    channel = talker.channel
    first, end = channel.frames_seen - _STOPPING_FRAMES, channel.frames_seen
    return channel.voiced_frames >= _STOPPING_FRAMES and _is_told(talker, first, end)


def _is_told(talker: Talker, first: int, end: int) -> bool:
    """Whether the sound is of this person, near the microphone."""
    return talker.is_near(first, end) and not talker.is_crosstalk(first, end)
