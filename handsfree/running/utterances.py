"""Utterances: what is between two boundaries, recognized, or told of where it cannot be taken."""

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

from handsfree.engine.over_the_tool import LISTENED_FOR, asks_to_wait
from handsfree.hearing.audio import Audio
from handsfree.hearing.live.channel import Channel
from handsfree.hearing.live.crosstalk import is_crosstalk
from handsfree.hearing.live.early import EarlyRecognition, RecognizerFailed
from handsfree.hearing.live.endpoint import (
    FRAME_MS,
    Began,
    Boundary,
    Ended,
    Paused,
    RanOn,
    WentOn,
)
from handsfree.hearing.live.nearness import Nearness
from handsfree.record.log import Stopwatch
from handsfree.record.marks import NotHeard
from handsfree.running.parts import Reached, Utterance
from handsfree.words.heard import Heard
from handsfree.words.meanings import Understood
from handsfree.words.phrases import PhraseSet

_STOPPING_FRAMES = 8  # a quarter of a second of voice stops an instruction: no cough does


class Utterances:
    """Makes utterances of what the channels hear, and keeps them until they are asked for."""

    def __init__(
        self,
        channels: Sequence[Channel],
        heard_on: Mapping[str, int],
        recognition: EarlyRecognition,
        since_start: Stopwatch,
    ) -> None:
        """`heard_on` is the channel of `Heard` by person, of those whose headset tells it."""
        self._channels = tuple(channels)
        self._heard_on = heard_on
        self._recognition = recognition
        self._since_start = since_start
        self._waiting: deque[Reached] = deque()
        # Whose sound is being recognized, from where to where; an utterance is that or another one.
        self._early: tuple[Channel, int, int] | None = None
        self._nearness = {channel.person: Nearness() for channel in channels}
        self._stop: Utterance | None = None  # somebody has said "stop" over the tool

    def __bool__(self) -> bool:
        return bool(self._waiting)

    def next(self) -> Reached:
        """The oldest one that nobody has asked for yet."""
        return self._waiting.popleft()

    def tell(self, person: str, problem: str) -> None:
        """Something could not be taken."""
        self._waiting.append(NotHeard(person, problem))

    def tool_speaks(self) -> None:
        """What waits answers something else than the tool says now: none of it is acted on."""
        self.drop_early()
        self._waiting = deque(_not_acted_on(each) for each in self._waiting)

    def follow_over_the_tool(self, channel: Channel, boundary: Boundary) -> None:
        """Go on in what is said while the tool speaks: only a wish to stop or to wait is taken."""
        match boundary:
            case Paused(first, end) if self._is_told(channel, first, end):
                self._early = (channel, first, end)
                self._recognition.begin(self._audio(channel, first, end), LISTENED_FOR)
            case WentOn():
                self._drop_early_of(channel)

    @property
    def is_told_to_stop(self) -> bool:
        """Whether somebody wants the tool to stop or to wait, as far as it is known by now."""
        if self._recognition.is_done:
            self._look_for_a_stop()
        return self._stop is not None

    def stop_said(self) -> Utterance | None:
        """The wish to stop that was heard over the tool, once; waits until it is known."""
        self._look_for_a_stop()
        stop, self._stop = self._stop, None
        return stop

    def _look_for_a_stop(self) -> None:
        if self._early is None:
            return
        (channel, first, end), self._early = self._early, None
        try:
            heard = self._recognition.result()
        except RecognizerFailed as error:
            self.tell(channel.person, str(error))
            return
        if asks_to_wait(heard):
            audio = self._audio(channel, first, end)
            self._stop = Utterance(self._from(channel, heard), audio, channel.person)

    def _from(self, channel: Channel, heard: Heard) -> Heard:
        return replace(heard, channel=self._heard_on.get(channel.person))

    def follow(self, channel: Channel, boundary: Boundary, phrases: PhraseSet) -> None:
        """Go on from a boundary in what a person says."""
        match boundary:
            case Paused(first, end) if not self._is_crosstalk(channel, first, end):
                # One recognizer: the person who paused last is the one it listens to.
                self._early = (channel, first, end)
                self._recognition.begin(self._audio(channel, first, end), phrases)
            case WentOn():
                self._drop_early_of(channel)
            case RanOn(first, end):
                seconds = (end - first) * FRAME_MS / 1000
                self.tell(
                    channel.person,
                    f"Voice for {seconds:.0f} s without a pause: no answer is so long.",
                )
            case Ended():
                self._ended(channel, boundary, phrases)
            case Began() | Paused():
                pass

    def sound_missing(self, channel: Channel) -> None:
        """What is being said has a hole now. What follows is treated as begun unheard."""
        self.tell(channel.person, "Sound was lost: the computer was too slow for a moment.")
        channel.listen_from_here()
        self._drop_early_of(channel)

    def _is_told(self, channel: Channel, first: int, end: int) -> bool:
        """Whether the sound is of this person, near the microphone."""
        near = self._nearness[channel.person].is_near(channel.level_dbfs(first, end))
        return near and not self._is_crosstalk(channel, first, end)

    def stops_the_voice(self, channel: Channel) -> bool:
        """Whether this person, near the microphone, has spoken for a quarter of a second."""
        first, end = channel.frames_seen - _STOPPING_FRAMES, channel.frames_seen
        return channel.voiced_frames >= _STOPPING_FRAMES and self._is_told(channel, first, end)

    def drop_early(self) -> None:
        """Forget what is being recognized."""
        self._recognition.drop()
        self._early = None

    def _drop_early_of(self, channel: Channel) -> None:
        if self._early is not None and self._early[0] is channel:
            self.drop_early()

    def _ended(self, channel: Channel, ended: Ended, phrases: PhraseSet) -> None:
        audio = self._audio(channel, ended.first, ended.end)
        if self._is_crosstalk(channel, ended.first, ended.end):
            return
        level = channel.level_dbfs(ended.first, ended.end)
        nearness = self._nearness[channel.person]
        if not ended.cut:  # else it may have been the tool itself
            self._nearness[channel.person] = nearness.after(level)
        if not nearness.is_near(level):
            problem = "A voice far from the microphone. Come closer if it was for the task."
            self.tell(channel.person, problem)
            return
        if ended.cut:
            self._cut_off(channel, audio, phrases)
            return
        if self._early != (channel, ended.first, ended.end):
            self._recognition.begin(audio, phrases)
        self._early = None
        try:
            heard = self._recognition.result()
        except RecognizerFailed as error:
            self._ask_again(channel, audio, str(error))
            return
        self._waiting.append(Utterance(self._from(channel, heard), audio, channel.person))

    def _cut_off(self, channel: Channel, audio: Audio, phrases: PhraseSet) -> None:
        """Words may be missing in front, so only what is always safe is heeded: to wait."""
        self._early = None
        self._recognition.begin(audio, LISTENED_FOR)
        try:
            heard = self._recognition.result()
        except RecognizerFailed as error:
            self._ask_again(channel, audio, str(error))
            return
        if asks_to_wait(heard) and isinstance(phrases.parse(heard.words), Understood):
            self._waiting.append(Utterance(self._from(channel, heard), audio, channel.person))
            return
        problem = "It began while the tool spoke, so its first words may be missing."
        self._ask_again(channel, audio, problem)

    def _ask_again(self, channel: Channel, audio: Audio, problem: str) -> None:
        """Tell why, and have the engine ask: no words are believed."""
        nothing = Heard((), 0.0, (), (), audio.started, audio.ended)
        self.tell(channel.person, problem)
        self._waiting.append(Utterance(nothing, audio, channel.person))

    def _audio(self, channel: Channel, first: int, end: int) -> Audio:
        ago = timedelta(milliseconds=(channel.frames_seen - first) * FRAME_MS)
        return Audio(channel.sound(first, end), max(timedelta(0), self._since_start() - ago))

    def _is_crosstalk(self, channel: Channel, first: int, end: int) -> bool:
        return is_crosstalk(self._channels, channel, first, end)


def _not_acted_on(reached: Reached) -> Reached:
    """What was heard when the tool had begun to answer something else."""
    if not isinstance(reached, Utterance):
        return reached
    words = " ".join(reached.heard.words) or "something that fits nothing"
    return NotHeard(reached.source, f"Said while the tool began to answer: {words}.")
