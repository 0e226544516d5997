"""Sound in: what the microphones take up, led to the channel of each headset."""

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from handsfree.hearing.live.channel import Channel
from handsfree.hearing.live.endpoint import Boundary, Rules
from handsfree.hearing.live.microphone import (
    PATIENCE_S,
    Block,
    Microphone,
    MicrophoneLost,
)
from handsfree.hearing.live.voice_activity import VoiceActivity
from handsfree.task.roles import Headset

_CONTEXT_S = 0.35  # what the detector needs to have heard before it is right
# Sound that is waited for, and looked at together, while nobody speaks. A processor that wakes for
# a single block takes twice as long over it. The first word is seen late by no more than this, and
# is kept whole by the pre-roll. Not more than the window of an onset.
_AT_ONCE_S = 0.128


@dataclass(frozen=True, slots=True)
class HeadsetLine:
    """Where the sound of a headset comes in."""

    headset: Headset
    microphone: int  # which one of the microphones
    channel: int  # which one of its channels, from 0


class SoundIn:
    """The sound of every microphone, taken up without a break."""

    def __init__(
        self,
        microphones: Sequence[Microphone],
        lines: Sequence[HeadsetLine],
        activity: Callable[[], VoiceActivity],
        rules: Rules,
    ) -> None:
        """Open the microphones; raises MicrophoneLost where one cannot be."""
        self._microphones = tuple(microphones)
        # Of the first one, since each of the others had something; seconds.
        self._behind_s = [0.0] * len(microphones)
        self._open()
        self._lines = tuple(
            (
                each,
                Channel(
                    each.headset.source, activity(), rules, microphones[each.microphone].rate_hz
                ),
            )
            for each in lines
        )

    @property
    def channels(self) -> tuple[Channel, ...]:
        """One for each headset, in the order of the lines."""
        return tuple(channel for _, channel in self._lines)

    @property
    def is_quiet(self) -> bool:
        """Whether nobody is saying anything."""
        return all(channel.is_quiet for channel in self.channels)

    def channels_of(self, microphone: int) -> tuple[Channel, ...]:
        """The channels that a microphone feeds."""
        return tuple(channel for each, channel in self._lines if each.microphone == microphone)

    def next_blocks(self) -> list[tuple[int, Block]]:
        """Wait for sound: each block with the microphone it comes from. Raises MicrophoneLost."""
        blocks = self.read(PATIENCE_S)
        more = blocks if self.is_quiet else []
        while more and self._seconds(blocks) < _AT_ONCE_S:
            more = self.read(PATIENCE_S)
            blocks = [*blocks, *more]
        return blocks

    def read(self, timeout_s: float) -> list[tuple[int, Block]]:
        """What there is within this time. Raises MicrophoneLost, also after a long time without."""
        # The first one sets the pace; of the others, what is there by then is taken.
        blocks = self._there_is(0, timeout_s)
        passed_s = self._seconds(blocks)
        for at in range(1, len(self._microphones)):
            own = self._there_is(at, 0.0)
            self._behind_s[at] = 0.0 if own else self._behind_s[at] + passed_s
            if self._behind_s[at] > PATIENCE_S:
                raise MicrophoneLost(self._microphones[at].name, "it gives no sound")
            blocks += own
        return blocks

    def _there_is(self, at: int, timeout_s: float) -> list[tuple[int, Block]]:
        blocks = []
        block = self._microphones[at].read(timeout_s)
        while block is not None:
            blocks.append((at, block))
            block = self._microphones[at].read(0.0)
        return blocks

    def feed(self, microphone: int, block: Block) -> Iterator[list[tuple[Channel, Boundary]]]:
        """Have the channels of a microphone listen to a block: what each frame of it brings.

        They are to be followed before the next frame is asked for. At another rate than the
        listeners' a block can hold several frames, and none.
        """
        lines = [each for each in self._lines if each[0].microphone == microphone]
        taken = (channel.take(block.samples[:, line.channel]) for line, channel in lines)
        for frame in zip(*taken, strict=True):
            yield [
                (channel, each)
                for (_, channel), boundaries in zip(lines, frame, strict=True)
                for each in boundaries
            ]

    def _seconds(self, blocks: Iterable[tuple[int, Block]]) -> float:
        """How long the sound of the first microphone is, which sets the pace."""
        samples = sum(len(block.samples) for at, block in blocks if at == 0)
        return samples / self._microphones[0].rate_hz

    def pass_over(self) -> None:
        """Pass over what came while the tool spoke; only its end is context for the detector.

        Raises MicrophoneLost.
        """
        blocks = self.read(0.0)
        for at, microphone in enumerate(self._microphones):
            own = [each for each in blocks if each[0] == at]
            length = sum(len(block.samples) for _, block in own)
            for each in own:
                length -= len(each[1].samples)
                if length < _CONTEXT_S * microphone.rate_hz:
                    deque(self.feed(*each), maxlen=0)
        self.listen_from_here()

    def listen_from_here(self) -> None:
        """Nothing that was said before this counts."""
        for channel in self.channels:
            channel.listen_from_here()

    def open_again(self) -> None:
        """After a loss: raises MicrophoneLost where a microphone still cannot be opened."""
        self._open()
        self._behind_s = [0.0] * len(self._microphones)
        for line, channel in self._lines:
            channel.renew(self._microphones[line.microphone].rate_hz)

    def close(self) -> None:
        """Let go of the microphones."""
        for microphone in self._microphones:
            microphone.close()

    def _open(self) -> None:
        for microphone in self._microphones:
            microphone.open()
