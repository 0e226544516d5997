"""One person's microphone channel: blocks of sound in, boundaries of utterances out."""

import math
from collections import deque
from collections.abc import Iterator

import numpy as np

from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.hearing.live.endpoint import (
    FRAME_SAMPLES,
    Boundary,
    Endpoint,
    Rules,
    ends_after,
    follow,
)
from handsfree.hearing.live.voice_activity import VoiceActivity

LONGEST_SILENCE = 128  # frames, 4 s: no rule waits for longer


class Framer:
    """Cuts sound of any rate into frames at 16 kHz."""

    def __init__(self, rate_hz: int) -> None:
        self._resampler = None
        if rate_hz != SAMPLE_RATE:
            import soxr

            self._resampler = soxr.ResampleStream(rate_hz, SAMPLE_RATE, 1, dtype="float32")
        self._rest: Samples = np.zeros(0, np.float32)

    def frames(self, samples: Samples) -> Iterator[Samples]:
        """The frames that `samples`, mono, complete."""
        if self._resampler is not None:
            samples = self._resampler.resample_chunk(samples)
        sound = np.concatenate([self._rest, samples])
        whole = len(sound) // FRAME_SAMPLES * FRAME_SAMPLES
        self._rest = sound[whole:]
        yield from sound[:whole].reshape(-1, FRAME_SAMPLES)


class Channel:
    """What one person says, as far back as an utterance can reach."""

    def __init__(self, person: str, activity: VoiceActivity, rules: Rules, rate_hz: int) -> None:
        """`person` is the source of the utterances, such as "technician"."""
        self.person = person
        self.voiced_frames = 0  # voiced ones in a row up to now
        self._activity = activity
        self._rules = rules
        self._last_voiced = -rules.onset_window - 1  # the number of a frame; none was yet
        self._framer = Framer(rate_hz)
        self._endpoint = Endpoint()
        kept = rules.pre_roll + rules.onset_window + rules.longest + LONGEST_SILENCE
        self._frames: deque[Samples] = deque(maxlen=kept)

    @property
    def frames_seen(self) -> int:
        """How many frames there have been."""
        return self._endpoint.at

    @property
    def is_quiet(self) -> bool:
        """Whether no utterance has begun, and none of the last frames was voiced."""
        lately = self.frames_seen - self._last_voiced <= self._rules.onset_window
        is_over = self._endpoint.onset is None and self._endpoint.unsettled is None
        return is_over and not lately

    def take(self, samples: Samples) -> Iterator[tuple[Boundary, ...]]:
        """Listen to the next sound, mono, at the rate of the device: what each frame of it brings.

        The next frame is listened to when it is asked for: what follows from a boundary, such as
        `ends_after`, is about the frame that brought it.
        """
        for frame in self._framer.frames(np.nan_to_num(samples)):
            self._frames.append(frame)
            probability = self._activity.probability(frame)
            voiced = probability >= self._rules.begins_at
            self.voiced_frames = self.voiced_frames + 1 if voiced else 0
            if voiced:
                self._last_voiced = self.frames_seen
            self._endpoint, boundaries = follow(self._endpoint, probability, self._rules)
            yield boundaries

    def ends_after(self, silence: int) -> tuple[Boundary, ...]:
        """The pause that is now ends the utterance after so many frames of silence."""
        self._endpoint, found = ends_after(self._endpoint, silence, self._rules)
        return found

    def settle(self) -> None:
        """The utterance that has ended is taken: what is said from here on is another one."""
        self._endpoint = self._endpoint.settled()

    def listen_from_here(self) -> None:
        """Nothing that was said before this counts."""
        self._endpoint = self._endpoint.listening_from_here()

    def renew(self, rate_hz: int) -> None:
        """The device begins anew, perhaps at another rate."""
        self._framer = Framer(rate_hz)
        self.listen_from_here()

    def sound(self, first: int, end: int) -> Samples:
        """The frames `first` to `end`, as far as they are still kept."""
        oldest = self.frames_seen - len(self._frames)
        kept = [self._frames[each - oldest] for each in range(max(first, oldest), end)]
        return np.concatenate(kept) if kept else np.zeros(0, np.float32)

    def level_dbfs(self, first: int, end: int) -> float:
        """The level of the frames `first` to `end`; see `dbfs`."""
        return dbfs(self.sound(first, end))


def dbfs(samples: Samples) -> float:
    """The level in dB FS: 0 is that of a sine that reaches full scale; silence is -inf.

    Source: AES17-2015, 3.12 (quoted from memory).
    """
    power = float(np.mean(samples.astype(np.float64) ** 2)) if len(samples) else 0.0
    return 10 * math.log10(2 * power) if power else -math.inf
