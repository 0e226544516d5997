"""Utterances: what is between two boundaries, recognized, or told of where it cannot be taken."""

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
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
    TalkedOn,
    WentOn,
)
from handsfree.hearing.live.nearness import Nearness
from handsfree.hearing.live.pace import Pace
from handsfree.hearing.live.waits import WAITS, Wait, wait_after
from handsfree.record.log import Stopwatch
from handsfree.record.marks import NotHeard
from handsfree.running.parts import Reached, Utterance
from handsfree.words.heard import EndedBy, EndRule, Heard, Trouble
from handsfree.words.meanings import Understood
from handsfree.words.phrases import PhraseSet
from handsfree.words.rest import Rest

_STOPPING_FRAMES = 8  # a quarter of a second of voice stops an instruction: no cough does


@dataclass(slots=True)
class _Early:
    """What is being recognized, and may turn out to be the whole utterance."""

    channel: Channel
    first: int
    end: int
    heard: Heard | None = None  # once it is known
    wait: Wait | None = None  # and what follows from it

    def is_of(self, channel: Channel, first: int, end: int) -> bool:
        """Whether it is just this sound."""
        return self.channel is channel and (self.first, self.end) == (first, end)


class Utterances:
    """Makes utterances of what the channels hear, and keeps them until they are asked for."""

    def __init__(
        self,
        channels: Sequence[Channel],
        heard_on: Mapping[str, int],
        recognition: EarlyRecognition,
        since_start: Stopwatch,
        waits: Mapping[Rest, Wait] = WAITS,
    ) -> None:
        """`heard_on` is the channel of `Heard` by person, of those whose headset tells it."""
        self._channels = tuple(channels)
        self._heard_on = heard_on
        self._recognition = recognition
        self._since_start = since_start
        self._waiting: deque[Reached] = deque()
        self._waits = waits
        self._early: _Early | None = None
        self._nearness = {channel.person: Nearness() for channel in channels}
        self._pace = {channel.person: Pace() for channel in channels}
        # Of what each person is saying: the pauses, and how often it had ended before.
        self._pauses: dict[str, list[int]] = {channel.person: [] for channel in channels}
        self._joined = dict.fromkeys(self._pauses, 0)
        # What came of what each person said last, as long as it may turn out to go on.
        self._unsettled: dict[str, Utterance | None] = dict.fromkeys(self._pauses)
        self._stop: Utterance | None = None  # somebody has said "stop" over the tool

    def __bool__(self) -> bool:
        return bool(self._waiting)

    def next(self) -> Reached:
        """The oldest one that nobody has asked for yet. What its person says now is another one."""
        reached = self._waiting.popleft()
        for channel in self._channels:
            if isinstance(reached, Utterance) and reached.source == channel.person:
                channel.settle()
                self._joined[channel.person] = 0
        return reached

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
                self._early = _Early(channel, first, end)
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
        early, self._early = self._early, None
        channel = early.channel
        try:
            heard = self._recognition.result()
        except RecognizerFailed as error:
            self.tell(channel.person, str(error))
            return
        if asks_to_wait(heard):
            audio = self._audio(channel, early.first, early.end)
            silence = timedelta(milliseconds=(channel.frames_seen - early.end) * FRAME_MS)
            ended_by = EndedBy(EndRule.NOTHING_LEFT, silence)
            self._stop = self._utterance(channel, heard, audio, ended_by)

    def _utterance(
        self, channel: Channel, heard: Heard, audio: Audio, ended_by: EndedBy
    ) -> Utterance:
        person = channel.person
        heard = replace(heard, channel=self._heard_on.get(person), ended_by=ended_by)
        return Utterance(heard, audio, person)

    def follow(self, channel: Channel, boundary: Boundary, phrases: PhraseSet) -> None:
        """Go on from a boundary in what a person says."""
        person = channel.person
        match boundary:
            case Began():
                self._pauses[person].clear()
                self._joined[person] = 0
                self._unsettled[person] = None
            case Paused(first, end) if not self._is_crosstalk(channel, first, end):
                # One recognizer: the person who paused last is the one it listens to.
                self._early = _Early(channel, first, end)
                self._recognition.begin(self._audio(channel, first, end), phrases)
            case WentOn(pause):
                self._pauses[person].append(pause)
                self._drop_early_of(channel)
            case TalkedOn(pause):
                self._pauses[person].append(pause)
                self._take_back(person)
            case RanOn(first, end) if not self._is_crosstalk(channel, first, end):
                self._ran_on(channel, first, end)
            case Ended():
                self._ended(channel, boundary, phrases)
            case Paused() | RanOn():
                pass

    def decide(self, phrases: PhraseSet) -> None:
        """Once it is known what was said before a pause, that decides how long the pause may be."""
        early = self._early
        if early is None or early.wait is not None:
            return
        early.heard = self._recognition.known()
        if early.heard is not None:
            early.wait = self._wait_after(early.heard, early.channel, phrases)
            for boundary in early.channel.ends_after(early.wait.silence):
                self.follow(early.channel, boundary, phrases)

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
        if self._early is not None and self._early.channel is channel:
            self.drop_early()

    def _wait_after(self, heard: Heard, channel: Channel, phrases: PhraseSet) -> Wait:
        return wait_after(heard, phrases, self._pace[channel.person], self._waits)

    def _take_back(self, person: str) -> None:
        """What this person said last was not all of it: it is heard anew, with what follows."""
        last, self._unsettled[person] = self._unsettled[person], None
        still_waiting = deque(each for each in self._waiting if each is not last)
        if len(still_waiting) < len(self._waiting):
            self._waiting = still_waiting
            self._joined[person] += 1

    def _ran_on(self, channel: Channel, first: int, end: int) -> None:
        seconds = (end - first) * FRAME_MS / 1000
        problem = f"Voice for {seconds:.0f} s without a pause: no answer is so long."
        ended_by = EndedBy(EndRule.TOO_LONG, timedelta(0))
        self._drop_early_of(channel)
        audio = self._audio(channel, first, end)
        self._ask_again(channel, audio, problem, ended_by, Trouble.NO_PAUSE)

    def _ended(self, channel: Channel, ended: Ended, phrases: PhraseSet) -> None:
        audio = self._audio(channel, ended.first, ended.end)
        # Up to now, and not only to its end: another headset can be a quarter of a second later.
        if self._is_crosstalk(channel, ended.first, channel.frames_seen):
            self._not_taken(channel)
            return
        level = channel.level_dbfs(ended.first, ended.end)
        nearness = self._nearness[channel.person]
        if not ended.cut:  # else it may have been the tool itself
            self._nearness[channel.person] = nearness.after(level)
        if not nearness.is_near(level):
            problem = "A voice far from the microphone. Come closer if it was for the task."
            self.tell(channel.person, problem)
            self._not_taken(channel)
            return
        after = timedelta(milliseconds=ended.silence * FRAME_MS)
        not_known = EndedBy(EndRule.NOT_KNOWN, after)
        if ended.cut:
            self._cut_off(channel, audio, phrases, not_known)
            return
        if self._early is None or not self._early.is_of(channel, ended.first, ended.end):
            self._early = _Early(channel, ended.first, ended.end)
            self._recognition.begin(audio, phrases)
        early = self._early
        try:
            heard = early.heard or self._recognition.result()
        except RecognizerFailed as error:
            self._early = None
            self._unsettled[channel.person] = self._ask_again(channel, audio, str(error), not_known)
            return
        wait = early.wait or self._wait_after(heard, channel, phrases)
        if wait.silence > ended.silence:
            # It was not known in time that there is more to come.
            early.heard, early.wait = heard, wait
            channel.ends_after(wait.silence)
            return
        self._early = None
        person = channel.person
        pace = self._pace[person]
        for pause in self._pauses[person]:
            self._pace[person] = self._pace[person].after(pause)
        self._pauses[person].clear()
        ended_by = EndedBy(wait.rule, after, pace.times, self._joined[person])
        self._unsettled[person] = self._utterance(channel, heard, audio, ended_by)
        self._waiting.append(self._unsettled[person])

    def _not_taken(self, channel: Channel) -> None:
        """What has ended is nobody's, or not for the tool: what is said next does not join it."""
        self._drop_early_of(channel)
        self._pauses[channel.person].clear()
        self._unsettled[channel.person] = None
        channel.settle()

    def _cut_off(
        self, channel: Channel, audio: Audio, phrases: PhraseSet, ended_by: EndedBy
    ) -> None:
        """Words may be missing in front, so only what is always safe is heeded: to wait."""
        self._early = None
        self._recognition.begin(audio, LISTENED_FOR)
        try:
            heard = self._recognition.result()
        except RecognizerFailed as error:
            self._ask_again(channel, audio, str(error), ended_by)
            return
        if asks_to_wait(heard) and isinstance(phrases.parse(heard.words), Understood):
            self._waiting.append(self._utterance(channel, heard, audio, ended_by))
            return
        problem = "It began while the tool spoke, so its first words may be missing."
        self._ask_again(channel, audio, problem, ended_by)

    def _ask_again(
        self,
        channel: Channel,
        audio: Audio,
        problem: str,
        ended_by: EndedBy,
        trouble: Trouble | None = None,
    ) -> Utterance:
        """Tell why, and have the engine ask: no words are believed."""
        started, ended = audio.started, audio.ended
        nothing = Heard((), 0.0, (), (), started, ended, trouble=trouble, ended_by=ended_by)
        self.tell(channel.person, problem)
        asked = Utterance(nothing, audio, channel.person)
        self._waiting.append(asked)
        return asked

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
