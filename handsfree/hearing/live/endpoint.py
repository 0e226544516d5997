"""Where an utterance begins and ends: speech probabilities in, boundaries out.

Pure: no sound, no clock. Time is counted in frames of `FRAME_SAMPLES`, from the first one that
was ever seen. A boundary names the sound of an utterance as frames, first included, end not.
"""

from dataclasses import dataclass, replace

FRAME_SAMPLES = 512  # at 16 kHz: what the detector takes at once
FRAME_MS = 32


@dataclass(frozen=True, slots=True)
class Rules:
    """When speech has begun and ended. In frames; tuned on the tuning half of the speakers."""

    begins_at: float = 0.5  # probability of speech
    goes_on_at: float = 0.35  # lower, so that a weak sound within speech does not end it
    # An impulse, such as a blow of a rivet gun, is shorter than the shortest word.
    onset_frames: int = 3  # this many voiced frames
    onset_window: int = 5  # among so many begin an utterance
    pre_roll: int = 16  # kept from before the onset: the detector is late on weak first sounds
    early: int = 1  # silence after which recognition starts, though speech may go on
    silence: int = 26  # silence that ends the utterance where nobody says another one, see `waits`
    longest: int = 468  # 15 s: no answer is longer
    # Our own voice may be at the microphone for so long after its last sample was played.
    after_own_voice: int = 4
    shortest_cut: int = 8  # voice that began under our own and is shorter than this is its echo

    def __post_init__(self) -> None:
        if not 0 < self.goes_on_at <= self.begins_at <= 1:
            raise ValueError("probabilities: 0 < goes_on_at <= begins_at <= 1")
        if not 0 < self.early < self.silence:
            raise ValueError("recognition starts before the silence ends the utterance")
        if not 0 < self.onset_frames <= self.onset_window:
            raise ValueError("an onset fits into its window")


@dataclass(frozen=True, slots=True)
class Began:
    """Somebody speaks."""

    first: int


@dataclass(frozen=True, slots=True)
class Paused:
    """The utterance is these frames, unless speech goes on."""

    first: int
    end: int


@dataclass(frozen=True, slots=True)
class WentOn:
    """Speech went on after `Paused`, which no longer holds."""

    pause: int  # frames


@dataclass(frozen=True, slots=True)
class Ended:
    """The utterance is these frames, the same as in the last `Paused`."""

    first: int
    end: int
    cut: bool  # it began before anybody listened, so that its first words may be missing
    silence: int  # frames behind its last voiced one


@dataclass(frozen=True, slots=True)
class TalkedOn:
    """Speech went on after `Ended`, which no longer holds: nobody had settled the utterance."""

    pause: int  # frames


@dataclass(frozen=True, slots=True)
class RanOn:
    """Too long for an utterance; nothing begins before there has been silence."""

    first: int
    end: int


Boundary = Began | Paused | WentOn | Ended | TalkedOn | RanOn


@dataclass(frozen=True, slots=True)
class Endpoint:
    """Where the search for the next boundary stands."""

    at: int = 0  # frames seen
    free_from: int = 0  # no utterance may take frames from before this
    listening_from: int = 0  # nobody listened before this
    voiced: tuple[int, ...] = ()  # lately, while no utterance has begun
    onset: int | None = None  # the first voiced frame of the utterance; None: none has begun
    last_voiced: int = -1
    ran_on: bool = False
    silence: int | None = None  # that ends this pause; None: `Rules.silence`
    unsettled: "Endpoint | None" = None  # the utterance that has ended, as long as it may go on

    def settled(self) -> "Endpoint":
        """The utterance that has ended is taken: what is said from here on is another one."""
        return replace(self, unsettled=None)

    def listening_from_here(self) -> "Endpoint":
        """Forget what was before: from the next frame on, somebody listens."""
        return Endpoint(at=self.at, free_from=self.at, listening_from=self.at)


def follow(
    state: Endpoint, probability: float, rules: Rules
) -> tuple[Endpoint, tuple[Boundary, ...]]:
    """Take in the probability (0 to 1) that the next frame is speech."""
    at = state.at
    state = replace(state, at=at + 1)
    if state.ran_on:
        return _quiet_first(state, at, probability, rules)
    ended = state.unsettled
    if ended is not None:
        pause = at - ended.last_voiced - 1
        if pause >= rules.silence:
            state = state.settled()  # so long after it nobody goes on: it is said anew
        elif probability >= rules.goes_on_at:
            state = replace(ended, at=state.at, last_voiced=at, silence=None)
            return state, (TalkedOn(pause),)
    if state.onset is None:
        return _waiting(state, at, probability, rules)
    return _speaking(state, state.onset, at, probability, rules)


def ends_after(
    state: Endpoint, silence: int, rules: Rules
) -> tuple[Endpoint, tuple[Boundary, ...]]:
    """The pause that is now ends the utterance after `silence` frames of it: at once, if it has.

    An utterance that has ended after fewer goes on, unless it is settled. Beyond a pause this
    changes nothing.
    """
    ended = state.unsettled
    if ended is not None:
        is_long_enough = state.at - 1 - ended.last_voiced >= silence
        return state if is_long_enough else replace(ended, at=state.at, silence=silence), ()
    if state.onset is None or state.last_voiced == state.at - 1:
        return state, ()
    return _ended_if_due(replace(state, silence=silence), state.onset, rules)


def _waiting(
    state: Endpoint, at: int, probability: float, rules: Rules
) -> tuple[Endpoint, tuple[Boundary, ...]]:
    if probability < rules.begins_at:
        return state, ()
    voiced = (*(each for each in state.voiced if each > at - rules.onset_window), at)
    if len(voiced) < rules.onset_frames:
        return replace(state, voiced=voiced), ()
    state = replace(state, voiced=(), onset=voiced[0], last_voiced=at)
    return state, (Began(_first(state, voiced[0], rules)),)


def _speaking(
    state: Endpoint, onset: int, at: int, probability: float, rules: Rules
) -> tuple[Endpoint, tuple[Boundary, ...]]:
    first = _first(state, onset, rules)
    if probability >= rules.goes_on_at:
        if at - first >= rules.longest:
            state = Endpoint(at=state.at, free_from=state.at, last_voiced=at, ran_on=True)
            return state, (RanOn(first, state.at),)
        pause = at - state.last_voiced - 1
        went_on = (WentOn(pause),) if pause >= rules.early else ()
        return replace(state, last_voiced=at, silence=None), went_on
    if at - state.last_voiced == rules.early:
        return state, (Paused(first, at + 1),)
    return _ended_if_due(state, onset, rules)


def _ended_if_due(
    state: Endpoint, onset: int, rules: Rules
) -> tuple[Endpoint, tuple[Boundary, ...]]:
    """The end of the utterance, where the silence up to now is long enough."""
    silent = state.at - 1 - state.last_voiced
    cut = state.listening_from > 0 and onset < state.listening_from + rules.after_own_voice
    # Of what is cut nothing is acted on, so nothing is won by an early end.
    if silent < (rules.silence if cut or state.silence is None else state.silence):
        return state, ()
    end = state.last_voiced + 1 + rules.early
    # Whatever is said next begins while somebody listens: it is no longer cut off at its beginning.
    after = Endpoint(at=state.at, free_from=end, unsettled=None if cut else state)
    if cut and state.last_voiced + 1 - onset < rules.shortest_cut:
        return after, (WentOn(silent),)
    return after, (Ended(_first(state, onset, rules), end, cut, silent),)


def _quiet_first(
    state: Endpoint, at: int, probability: float, rules: Rules
) -> tuple[Endpoint, tuple[Boundary, ...]]:
    if probability >= rules.goes_on_at:
        return replace(state, last_voiced=at), ()
    if at - state.last_voiced < rules.silence:
        return state, ()
    return Endpoint(at=state.at, free_from=state.at), ()


def _first(state: Endpoint, onset: int, rules: Rules) -> int:
    return max(state.free_from, onset - rules.pre_roll)
