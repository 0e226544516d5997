"""The live ear: microphones in, utterances out, one channel for each person."""

import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import timedelta

from handsfree.engine.events import HearingLost, HearingReturned, SilenceFor, TimeCame
from handsfree.hearing.live.early import EarlyRecognition
from handsfree.hearing.live.endpoint import Rules
from handsfree.hearing.live.microphone import (
    PATIENCE_S,
    Block,
    Microphone,
    MicrophoneLost,
    find_devices_anew,
)
from handsfree.hearing.live.own_voice import OwnVoice
from handsfree.hearing.live.sleep_watch import SleepWatch
from handsfree.hearing.live.voice_activity import SileroActivity, VoiceActivity
from handsfree.hearing.live.waits import WAITS, Wait
from handsfree.record.log import Stopwatch
from handsfree.running.parts import Reached, Utterance
from handsfree.running.sound_in import HeadsetLine, SoundIn
from handsfree.running.spoken_over import SpokenOver, stops_the_voice
from handsfree.running.talker import Talker
from handsfree.running.typed_lines import TypedLines
from handsfree.running.utterances import Utterances
from handsfree.words.phrases import PhraseSet
from handsfree.words.rest import Rest

RETRY_S = 1.0
# Work between two steps is often quiet for minutes. Who says nothing for longer is asked whether
# somebody is there. Common practice, no source.
LONG_SILENCE = timedelta(minutes=5)
# What is being recognized may be known at any time, and may end the utterance at once.
_SOON_S = 0.004
# Then a microphone that gives nothing is waited for as ever, so that its loss is seen also where a
# recognizer has failed and no result comes.
_MOST_LOOKS = round(PATIENCE_S / _SOON_S)


class LiveEar:
    """Hears people as they speak.

    The sound is taken up without a break. What comes while the tool speaks is passed over, and an
    utterance that began under the tool's voice is asked for again, for its first words may be
    missing: of "pin not fitted", "fitted" must not be acted on. Only what makes the work wait is
    taken there: "stop", "stand by", and what takes something back.
    """

    def __init__(
        self,
        microphones: Sequence[Microphone],
        lines: Sequence[HeadsetLine],
        recognition: EarlyRecognition,
        since_start: Stopwatch,
        sleep: SleepWatch,
        *,
        rules: Rules | None = None,
        activity: Callable[[], VoiceActivity] = SileroActivity,
        find_anew: Callable[[], None] = find_devices_anew,
        wait: Callable[[float], None] = time.sleep,
        long_silence: timedelta = LONG_SILENCE,
        typed: TypedLines | None = None,
        waits: Mapping[Rest, Wait] = WAITS,
        own_voice: OwnVoice | None = None,
    ) -> None:
        """Open the microphones; raises MicrophoneLost where one cannot be.

        The first of the `lines` is the technician's, to whom the tool speaks. What is `typed`
        meanwhile is taken beside what is heard. `waits` is how much silence ends an utterance.
        Whether a person can be heard through the `own_voice` of the tool is found out, if nobody
        has said it.
        """
        self._recognition = recognition
        self._since_start = since_start
        self._sleep = sleep
        self._find_anew = find_anew
        self._wait = wait
        self._long_silence = long_silence
        self._typed = typed
        self._lost = False
        self._looked_in_vain = 0  # in a row, for sound while something is being recognized
        self._spoke_over = False  # the tool has spoken since we listened last
        self._rules = rules or Rules()
        self._sound = SoundIn(microphones, lines, activity, self._rules)
        # With one microphone for all, who spoke is said ("second"), and no channel tells.
        headsets = [each.headset for each in lines] if len(lines) > 1 else []
        heard_on = {each.source: each.channel for each in headsets}
        channels = self._sound.channels
        self._talkers = {
            each.person: Talker(each, channels, heard_on.get(each.person), since_start)
            for each in channels
        }
        self._own_voice = own_voice or OwnVoice()
        self._utterances = Utterances(recognition, waits, lambda: self._own_voice.is_kept_out)
        self._spoken_over = SpokenOver(recognition, self._utterances.tell)

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Reached:
        """Wait for the next utterance, until a time, or until nobody has spoken for long."""
        if self._lost:
            return self._open_again()
        # Between two calls the run had something to do, such as to recognize or to speak.
        lost = self._slept(busy=True)
        if self._spoke_over:
            self._spoke_over = False
            self._own_voice.ends()
            stop = self._spoken_over.stop_said()
            lost = self._pass_over() or lost
            if stop is not None and lost is None:
                return stop
            early = None if self._typed is None else self._typed.pass_over()
            if early is not None and lost is None:
                return early
        if lost is not None:
            return lost
        quiet_since = self._since_start()
        self._recognition.make_ready(phrases)
        while not self._utterances or self._somebody_talks_on(phrases):
            lost = self._slept() or self._listen(phrases)
            if lost is not None:
                return lost
            typed = None if self._typed is None else self._typed.next()
            if typed is not None:
                return typed
            now = self._since_start()
            if not self._sound.is_quiet:
                quiet_since = now
            elif not self._utterances and until is not None and now >= until:
                return TimeCame(now)
            elif not self._utterances and now - quiet_since >= self._long_silence:
                return SilenceFor(now - quiet_since, now)
        return self._utterances.next(self._talkers)

    def _somebody_talks_on(self, phrases: PhraseSet) -> bool:
        """Look at what came up to now: whether an utterance that has ended goes on after all.

        Nothing was answered to it yet, so it is heard anew as a whole.
        """
        try:
            self._take(self._sound.read(0.0), phrases)
        except MicrophoneLost:
            return False  # the next call meets it again, and tells
        return not self._utterances

    def tool_speaks(self) -> None:
        """From here on the tool speaks: nothing is heard until `hear` is called again."""
        if not self._spoke_over:
            self._utterances.tool_speaks()
        self._spoke_over = True
        self._own_voice.begins()

    def voice_now(self) -> bool:
        """Whether the technician has spoken for a quarter of a second up to now, over the tool.

        The tool speaks to the technician: what others say stops nothing. False where the tool's
        own voice is not kept out of the microphones.
        """
        if not self._listen_over_the_tool():
            return False
        technician = self._talkers[self._sound.channels[0].person]
        if not stops_the_voice(technician):
            return False
        self._utterances.tell(technician.person, "It stopped the voice.")
        return True

    def told_to_stop(self) -> bool:
        """Whether somebody has said "stop", "negative" or the like up to now, over the tool.

        Anyone may, for to wait is always safe. False where the tool's own voice is not kept out of
        the microphones.
        """
        return self._listen_over_the_tool() and self._spoken_over.is_told_to_stop

    def stop_said(self) -> Utterance | None:
        """The "stop" or the like that was said over the tool, once; None: nobody said it."""
        return self._spoken_over.stop_said() if self._spoke_over else None

    def _listen_over_the_tool(self) -> bool:
        """Take up what is said over the tool; whether people can be told from the tool itself."""
        if self._lost:
            return False
        try:
            blocks = self._sound.read(0.0)
        except MicrophoneLost:
            return False  # `hear` meets it again, and tells
        for microphone, block in blocks:
            for frame in self._sound.feed(microphone, block):
                if microphone == 0:  # it sets the pace; what the others hear counts with it
                    self._own_voice.frame(is_voice=self._hears_a_voice())
                for channel, boundary in frame:
                    if self._own_voice.is_kept_out:
                        self._spoken_over.follow(self._talkers[channel.person], boundary)
        return self._own_voice.is_kept_out

    def _hears_a_voice(self) -> bool:
        enough = self._rules.onset_frames
        return any(each.voiced_frames >= enough for each in self._sound.channels)

    def close(self) -> None:
        """Let go of the microphones and the recognizer."""
        self._sound.close()
        self._recognition.close()

    def _listen(self, phrases: PhraseSet) -> HearingLost | None:
        try:
            if self._utterances.is_recognizing and self._looked_in_vain < _MOST_LOOKS:
                blocks = self._sound.read(_SOON_S)
                self._looked_in_vain = 0 if blocks else self._looked_in_vain + 1
                self._utterances.decide(phrases)
            else:
                self._looked_in_vain = 0
                blocks = self._sound.next_blocks()
        except MicrophoneLost as error:
            return self._lose(error)
        self._take(blocks, phrases)
        return None

    def _take(self, blocks: Iterable[tuple[int, Block]], phrases: PhraseSet) -> None:
        for microphone, block in blocks:
            if block.gap:
                for channel in self._sound.channels_of(microphone):
                    self._utterances.sound_missing(self._talkers[channel.person])
            for frame in self._sound.feed(microphone, block):
                for channel, boundary in frame:
                    self._utterances.follow(self._talkers[channel.person], boundary, phrases)
                self._utterances.decide(phrases)

    def _pass_over(self) -> HearingLost | None:
        try:
            self._sound.pass_over()
        except MicrophoneLost as error:
            return self._lose(error)
        return None

    def _slept(self, busy: bool = False) -> HearingLost | None:
        slept = self._sleep.slept(busy)
        if slept is None:
            return None
        self._utterances.drop_early()
        self._spoken_over.drop()
        self._sound.listen_from_here()
        seconds = round(slept.total_seconds())
        length = f"{seconds} seconds" if seconds < 120 else f"{seconds // 60} minutes"
        return HearingLost(f"the computer slept for {length}")

    def _lose(self, error: MicrophoneLost) -> HearingLost:
        self._lost = True
        self._utterances.drop_early()
        self._spoken_over.drop()
        # Told before anything is closed: that can take as long as a sound server stands still.
        return HearingLost(str(error).rstrip("."))

    def _open_again(self) -> Reached:
        while True:
            self._sound.close()
            self._find_anew()
            try:
                self._sound.open_again()
            except MicrophoneLost:
                self._wait(RETRY_S)
                continue
            self._lost = False
            self._sleep.slept(busy=True)
            return HearingReturned()
