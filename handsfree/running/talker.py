"""One person at a headset: how near and how fast they speak, and what they said last."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

from handsfree.hearing.audio import Audio
from handsfree.hearing.live.channel import Channel
from handsfree.hearing.live.crosstalk import is_crosstalk
from handsfree.hearing.live.endpoint import FRAME_MS
from handsfree.hearing.live.nearness import Nearness
from handsfree.hearing.live.pace import Pace
from handsfree.hearing.live.waits import Wait, wait_after
from handsfree.record.log import Stopwatch
from handsfree.running.parts import Utterance
from handsfree.words.heard import EndedBy, EndRule, Heard, Trouble
from handsfree.words.phrases import PhraseSet
from handsfree.words.rest import Rest


class Talker:
    """Knows one person by their channel, and makes utterances of what they say."""

    def __init__(
        self,
        channel: Channel,
        channels: Sequence[Channel],
        number: int | None,
        since_start: Stopwatch,
    ) -> None:
        """`channels` are those of all; `number` is that of `Heard.channel`, where it tells who."""
        self.channel = channel
        self.pauses: list[int] = []  # in what they are saying, frames
        self.joined = 0  # how often that had ended before
        # What came of what they said last, as long as it may turn out to go on.
        self.unsettled: Utterance | None = None
        self._channels = channels
        self._number = number
        self._since_start = since_start
        self._nearness = Nearness()
        self._pace = Pace()

    @property
    def person(self) -> str:
        """The source of their utterances."""
        return self.channel.person

    def begins(self) -> None:
        """What they say from here on is another utterance."""
        self.pauses.clear()
        self.joined = 0
        self.unsettled = None

    def is_over(self) -> None:
        """What they said is taken, or is not for the tool: what they say next does not join it."""
        self.channel.settle()
        self.joined = 0
        self.unsettled = None

    def is_crosstalk(self, first: int, end: int) -> bool:
        """Whether these frames are somebody else's voice, who has a headset of their own."""
        return is_crosstalk(self._channels, self.channel, first, end)

    def is_near(self, first: int, end: int) -> bool:
        """Whether these frames are spoken at the microphone."""
        return self._nearness.is_near(self.channel.level_dbfs(first, end))

    def learn_level(self, first: int, end: int) -> None:
        """These frames tell how loud they usually are."""
        self._nearness = self._nearness.after(self.channel.level_dbfs(first, end))

    def learn_pauses(self) -> None:
        """What they said has ended, and was one utterance with all the pauses in it."""
        for pause in self.pauses:
            self._pace = self._pace.after(pause)
        self.pauses.clear()

    def wait_after(
        self, heard: Heard, phrases: PhraseSet, waits: Mapping[Rest, Wait], *, hears_over: bool
    ) -> Wait:
        """How much silence ends what they are saying, of which this is heard so far."""
        return wait_after(heard, phrases, self._pace, waits, hears_over=hears_over)

    def ended_by(self, rule: EndRule, silence: int) -> EndedBy:
        """How it was told that they had finished, after so many frames of silence."""
        after = timedelta(milliseconds=silence * FRAME_MS)
        return EndedBy(rule, after, self._pace.times, self.joined)

    def audio(self, first: int, end: int) -> Audio:
        """The sound of these frames, with the running time at which they began."""
        ago = timedelta(milliseconds=(self.channel.frames_seen - first) * FRAME_MS)
        return Audio(self.channel.sound(first, end), max(timedelta(0), self._since_start() - ago))

    def utterance(self, heard: Heard, audio: Audio, ended_by: EndedBy) -> Utterance:
        """What they said, as it was heard."""
        heard = replace(heard, channel=self._number, ended_by=ended_by)
        return Utterance(heard, audio, self.person)

    def not_believed(
        self, audio: Audio, ended_by: EndedBy, trouble: Trouble | None = None
    ) -> Utterance:
        """Something that they said, of which no word is believed: they are asked again."""
        started, ended = audio.started, audio.ended
        nothing = Heard((), 0.0, (), (), started, ended, trouble=trouble, ended_by=ended_by)
        return Utterance(nothing, audio, self.person)
