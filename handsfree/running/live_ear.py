"""The live ear: microphones in, utterances out, one channel for each person."""

import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from handsfree.engine.events import HearingLost, HearingReturned, SilenceFor, TimeCame
from handsfree.hearing.audio import Audio
from handsfree.hearing.live.channel import Channel
from handsfree.hearing.live.early import EarlyRecognition, RecognizerFailed
from handsfree.hearing.live.endpoint import (
    FRAME_MS,
    Began,
    Boundary,
    Ended,
    Paused,
    RanOn,
    Rules,
    WentOn,
)
from handsfree.hearing.live.microphone import (
    BLOCK_MS,
    PATIENCE_S,
    Block,
    Microphone,
    MicrophoneLost,
    find_devices_anew,
)
from handsfree.hearing.live.nearness import Nearness
from handsfree.hearing.live.sleep_watch import SleepWatch
from handsfree.hearing.live.voice_activity import SileroActivity, VoiceActivity
from handsfree.record.log import Stopwatch
from handsfree.record.marks import NotHeard
from handsfree.running.ears import CHANNEL_OF
from handsfree.running.parts import Reached, Utterance
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet

RETRY_S = 1.0
_CONTEXT_S = 0.35  # what the detector needs to have heard before it is right
# Blocks that are waited for, and looked at together, while nobody speaks. A processor that wakes
# for a single one takes twice as long over it. The first word is seen late by no more than their
# length, 128 ms, and is kept whole by the pre-roll. Not more than the window of an onset.
_AT_ONCE = 4
_MOST_EMPTY = round(PATIENCE_S * 1000 / BLOCK_MS)
# Work between two steps is often quiet for minutes. Who says nothing for longer is asked whether
# somebody is there. Common practice, no source.
LONG_SILENCE = timedelta(minutes=5)
_STOPPING_FRAMES = 8  # a quarter of a second of voice stops an instruction: no cough does


@dataclass(frozen=True, slots=True)
class Person:
    """Who is at which channel."""

    name: str  # the source of the utterances, such as "technician"
    microphone: int  # which one of the microphones
    channel: int  # which one of its channels, from 0


class LiveEar:
    """Hears people as they speak.

    The sound is taken up without a break. What comes while the tool speaks is passed over, and an
    utterance that began under the tool's voice is asked for again, for its first words may be
    missing: of "pin not fitted", "fitted" must not be acted on.
    """

    def __init__(
        self,
        microphones: Sequence[Microphone],
        people: Sequence[Person],
        recognition: EarlyRecognition,
        since_start: Stopwatch,
        sleep: SleepWatch,
        *,
        rules: Rules | None = None,
        activity: Callable[[], VoiceActivity] = SileroActivity,
        find_anew: Callable[[], None] = find_devices_anew,
        wait: Callable[[float], None] = time.sleep,
        long_silence: timedelta = LONG_SILENCE,
    ) -> None:
        """Open the microphones; raises MicrophoneLost where one cannot be.

        The first of the `people` is the technician, to whom the tool speaks.
        """
        self._microphones = tuple(microphones)
        self._people = tuple(people)
        # With one microphone for all, who spoke is said ("second"), and no channel tells.
        self._heard_on = {
            each.name: CHANNEL_OF.get(each.name) for each in people if len(people) > 1
        }
        self._recognition = recognition
        self._since_start = since_start
        self._sleep = sleep
        self._find_anew = find_anew
        self._wait = wait
        self._long_silence = long_silence
        self._pending: deque[Reached] = deque()
        self._lost = False
        self._empty = [0] * len(microphones)  # times in a row that each one had nothing
        self._spoke_over = False  # the tool has spoken since we listened last
        # Whose sound is being recognized, from where to where; an utterance is that or another one.
        self._early: tuple[Channel, int, int] | None = None
        self._nearness = {person.name: Nearness() for person in people}
        for microphone in self._microphones:
            microphone.open()
        used = rules or Rules()
        self._channels = tuple(
            Channel(each.name, activity(), used, self._microphones[each.microphone].rate_hz)
            for each in people
        )

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Reached:
        """Wait for the next utterance, until a time, or until nobody has spoken for long."""
        if self._lost:
            return self._open_again()
        # Between two calls the run had something to do, such as to recognize or to speak.
        lost = self._slept(busy=True)
        if self._spoke_over:
            self._spoke_over = False
            lost = self._pass_over() or lost
        if lost is not None:
            return lost
        quiet_since = self._since_start()
        while not self._pending:
            lost = self._slept() or self._take_block(phrases)
            if lost is not None:
                return lost
            now = self._since_start()
            if not self._is_quiet():
                quiet_since = now
            elif not self._pending and until is not None and now >= until:
                return TimeCame(now)
            elif not self._pending and now - quiet_since >= self._long_silence:
                return SilenceFor(now - quiet_since, now)
        return self._pending.popleft()

    def tool_speaks(self) -> None:
        """From here on the tool speaks: nothing is heard until `hear` is called again."""
        self._drop_early()
        self._pending = deque(_not_acted_on(each) for each in self._pending)
        self._spoke_over = True

    def voice_now(self) -> bool:
        """Whether the technician has spoken for a quarter of a second up to now, over the tool.

        The tool speaks to the technician: what others say stops nothing. Only where the headset
        keeps the tool's own voice out of the microphone.
        """
        if self._lost:
            return False
        try:
            for block_of in self._read(0.0):
                self._feed(*block_of)
        except MicrophoneLost:
            return False  # `hear` meets it again, and tells
        channel = self._channels[0]
        first, end = channel.at - _STOPPING_FRAMES, channel.at
        if (
            channel.voiced_frames < _STOPPING_FRAMES
            or self._is_crosstalk(channel, first, end)
            or not self._nearness[channel.person].is_near(channel.level_dbfs(first, end))
        ):
            return False
        self._pending.append(NotHeard(channel.person, "It stopped the voice."))
        return True

    def close(self) -> None:
        """Let go of the microphones and the recognizer."""
        for microphone in self._microphones:
            microphone.close()
        self._recognition.close()

    # --- sound in ---

    def _read(self, timeout_s: float) -> list[tuple[int, Block]]:
        blocks = []
        for at, microphone in enumerate(self._microphones):
            # The first one sets the pace; of the others, what is there by then is taken.
            block = microphone.read(timeout_s if at == 0 else 0.0)
            self._empty[at] = 0 if block is not None else self._empty[at] + 1
            if self._empty[at] > _MOST_EMPTY:
                raise MicrophoneLost(microphone.name, "it gives no sound")
            while block is not None:
                blocks.append((at, block))
                block = microphone.read(0.0)
        return blocks

    def _feed(self, microphone: int, block: Block) -> list[tuple[Channel, Boundary]]:
        found = []
        for person, channel in zip(self._people, self._channels, strict=True):
            if person.microphone == microphone:
                boundaries = channel.take(block.samples[:, person.channel])
                found += [(channel, each) for each in boundaries]
        return found

    def _pass_over(self) -> HearingLost | None:
        """Pass over what came while the tool spoke; only its end is context for the detector."""
        try:
            blocks = self._read(0.0)
        except MicrophoneLost as error:
            return self._lose(error)
        for at, microphone in enumerate(self._microphones):
            own = [each for each in blocks if each[0] == at]
            length = sum(len(block.samples) for _, block in own)
            for each in own:
                length -= len(each[1].samples)
                if length < _CONTEXT_S * microphone.rate_hz:
                    self._feed(*each)
        for channel in self._channels:
            channel.listen_from_here()
        return None

    def _take_block(self, phrases: PhraseSet) -> HearingLost | None:
        try:
            blocks = self._read(PATIENCE_S)
            for _ in range(_AT_ONCE - 1 if self._is_quiet() else 0):
                blocks += self._read(PATIENCE_S)
        except MicrophoneLost as error:
            return self._lose(error)
        for microphone, block in blocks:
            if block.gap:
                self._sound_missing(microphone)
            for channel, boundary in self._feed(microphone, block):
                self._follow(channel, boundary, phrases)
        return None

    def _is_quiet(self) -> bool:
        return all(channel.is_quiet for channel in self._channels)

    # --- boundaries ---

    def _follow(self, channel: Channel, boundary: Boundary, phrases: PhraseSet) -> None:
        match boundary:
            case Paused(first, end) if not self._is_crosstalk(channel, first, end):
                # One recognizer: the person who paused last is the one it listens to.
                self._early = (channel, first, end)
                self._recognition.begin(self._audio(channel, first, end), phrases)
            case WentOn():
                if self._early is not None and self._early[0] is channel:
                    self._drop_early()
            case RanOn(first, end):
                seconds = (end - first) * FRAME_MS / 1000
                problem = f"Voice for {seconds:.0f} s without a pause: no answer is so long."
                self._pending.append(NotHeard(channel.person, problem))
            case Ended():
                self._ended(channel, boundary, phrases)
            case Began() | Paused():
                pass

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
            self._pending.append(NotHeard(channel.person, problem))
            return
        if ended.cut:
            problem = "It began while the tool spoke, so its first words may be missing."
            self._ask_again(channel, audio, problem)
            return
        if self._early != (channel, ended.first, ended.end):
            self._recognition.begin(audio, phrases)
        self._early = None
        try:
            heard = self._recognition.result()
        except RecognizerFailed as error:
            self._ask_again(channel, audio, str(error))
            return
        heard = replace(heard, channel=self._heard_on.get(channel.person))
        self._pending.append(Utterance(heard, audio, channel.person))

    def _ask_again(self, channel: Channel, audio: Audio, problem: str) -> None:
        """Tell why, and have the engine ask: no words are believed."""
        nothing = Heard((), 0.0, (), (), audio.started, audio.ended)
        self._pending.append(NotHeard(channel.person, problem))
        self._pending.append(Utterance(nothing, audio, channel.person))

    def _audio(self, channel: Channel, first: int, end: int) -> Audio:
        ago = timedelta(milliseconds=(channel.at - first) * FRAME_MS)
        return Audio(channel.sound(first, end), max(timedelta(0), self._since_start() - ago))

    def _is_crosstalk(self, channel: Channel, first: int, end: int) -> bool:
        """Whether it is the other person's voice, who is louder at a microphone of their own."""
        ago_first, ago_end = channel.at - first, channel.at - end
        level = channel.level_dbfs(first, end)
        before = True  # one headset on both channels is as loud on both: the first one counts
        for other in self._channels:
            if other is channel:
                before = False
                continue
            theirs = other.level_dbfs(max(0, other.at - ago_first), max(0, other.at - ago_end))
            if theirs > level or (before and theirs == level):
                return True
        return False

    # --- loss and return ---

    def _sound_missing(self, microphone: int) -> None:
        for person, channel in zip(self._people, self._channels, strict=True):
            if person.microphone != microphone:
                continue
            problem = "Sound was lost: the computer was too slow for a moment."
            self._pending.append(NotHeard(channel.person, problem))
            # What is being said has a hole now. What follows is treated as begun unheard.
            channel.listen_from_here()
            if self._early is not None and self._early[0] is channel:
                self._drop_early()

    def _drop_early(self) -> None:
        self._recognition.drop()
        self._early = None

    def _slept(self, busy: bool = False) -> HearingLost | None:
        slept = self._sleep.slept(busy)
        if slept is None:
            return None
        self._drop_early()
        for channel in self._channels:
            channel.listen_from_here()
        seconds = round(slept.total_seconds())
        length = f"{seconds} seconds" if seconds < 120 else f"{seconds // 60} minutes"
        return HearingLost(f"the computer slept for {length}")

    def _lose(self, error: MicrophoneLost) -> HearingLost:
        self._lost = True
        self._drop_early()
        # Told before anything is closed: that can take as long as a sound server stands still.
        return HearingLost(str(error).rstrip("."))

    def _open_again(self) -> Reached:
        while True:
            for microphone in self._microphones:
                microphone.close()
            self._find_anew()
            try:
                for microphone in self._microphones:
                    microphone.open()
            except MicrophoneLost:
                self._wait(RETRY_S)
                continue
            self._empty = [0] * len(self._microphones)
            for person, channel in zip(self._people, self._channels, strict=True):
                channel.renew(self._microphones[person.microphone].rate_hz)
            self._lost = False
            self._sleep.slept(busy=True)
            return HearingReturned()


def _not_acted_on(reached: Reached) -> Reached:
    """What was heard when the tool had begun to answer something else."""
    if not isinstance(reached, Utterance):
        return reached
    words = " ".join(reached.heard.words) or "something that fits nothing"
    return NotHeard(reached.source, f"Said while the tool began to answer: {words}.")
