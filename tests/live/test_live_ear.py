"""The live ear, on a microphone made of arrays: no sound card, no waiting."""

import contextlib
import hashlib
import io
import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.events import HearingLost, HearingReturned, SilenceFor, TimeCame
from handsfree.hearing.audio import Audio
from handsfree.hearing.live.early import EarlyRecognition
from handsfree.hearing.live.endpoint import FRAME_MS, FRAME_SAMPLES, Rules
from handsfree.hearing.live.microphone import PATIENCE_S, Block, MicrophoneLost
from handsfree.hearing.live.own_voice import OwnVoice
from handsfree.hearing.live.sleep_watch import SleepWatch
from handsfree.hearing.live.waits import MOVES_ON, WAITS, Wait
from handsfree.hearing.recognizer import Recognizer
from handsfree.record.marks import NotHeard
from handsfree.running.live_ear import LONG_SILENCE, LiveEar
from handsfree.running.parts import Utterance
from handsfree.running.sound_in import HeadsetLine
from handsfree.running.typed_lines import TypedLines
from handsfree.task.roles import Headset, Role
from handsfree.words.awaited import Scale
from handsfree.words.heard import EndedBy, EndRule, Heard, Trouble
from handsfree.words.phrases import Confirmation, PhraseSet, Reading, Standard
from handsfree.words.rest import Rest
from handsfree.words.standard import StandardWord
from tests.how_many import examples
from tests.live.fakes import (
    LOUD,
    Arrays,
    AtOnce,
    Clock,
    EndOfSound,
    Hears,
    LoudIsVoice,
    Together,
    blocks,
    silence,
    voice,
)

RULES = Rules()
ANYTHING = PhraseSet(())
SAID = (*silence(20), *voice(20), *silence(30))
TECHNICIAN = (HeadsetLine(Headset.TECHNICIAN, 0, 0),)
BOTH = (*TECHNICIAN, HeadsetLine(Headset.SECOND_PERSON, 0, 1))
TWO_DEVICES = (*TECHNICIAN, HeadsetLine(Headset.SECOND_PERSON, 1, 0))


def ear_on(
    microphone: Arrays,
    clock: Clock,
    recognizer: Recognizer,
    *,
    lines: tuple[HeadsetLine, ...] = TECHNICIAN,
    maybe: Callable[[Heard], None] = lambda _: None,
    waited: list[float] | None = None,
    long_silence: timedelta = LONG_SILENCE,
    find_anew: Callable[[], None] = lambda: None,
    typed: TypedLines | None = None,
    own_voice_kept_out: bool = False,
) -> LiveEar:
    return LiveEar(
        (microphone,),
        lines,
        EarlyRecognition(recognizer, lambda: recognizer, maybe),
        clock.since_start,
        SleepWatch(clock.utc_now, clock.since_start),
        activity=LoudIsVoice,
        find_anew=find_anew,
        wait=(waited if waited is not None else []).append,
        long_silence=long_silence,
        typed=typed,
        own_voice=OwnVoice(is_kept_out=own_voice_kept_out),
    )


def typed_at(clock: Clock, text: str) -> TypedLines:
    lines = TypedLines(io.StringIO(text), clock.since_start)
    assert lines.ended(5)
    return lines


def reached_from(*sound: "Block | MicrophoneLost | timedelta") -> object:
    clock = Clock()
    return ear_on(Arrays(clock, *sound), clock, Hears("pin fitted")).hear(ANYTHING)


def test_what_is_said_reaches_the_run_with_its_sound_and_its_time() -> None:
    reached = reached_from(*SAID)
    assert isinstance(reached, Utterance)
    assert reached.heard.words == ("pin", "fitted")
    assert reached.source == "technician"
    assert reached.heard.channel is None  # one microphone may be both persons'
    assert reached.audio is not None
    assert len(reached.audio.samples) == (RULES.pre_roll + 20 + RULES.early) * FRAME_SAMPLES
    assert reached.audio.started == timedelta(milliseconds=32 * (20 - RULES.pre_roll))


def test_recognition_starts_in_the_first_silence_and_what_it_found_stands() -> None:
    clock, recognizer, early, told = Clock(), Hears("affirm"), list[Heard](), threading.Event()

    def tell(heard: Heard) -> None:
        early.append(heard)
        told.set()

    class InRealTime(Arrays):
        """Sound takes its time: recognition is quicker than the rest of the silence."""

        def read(self, timeout_s: float) -> Block | None:
            if clock.run > timedelta(milliseconds=FRAME_MS * (20 + 20 + RULES.early + 1)):
                told.wait(10)
            return super().read(timeout_s)

    ear = ear_on(InRealTime(clock, *SAID), clock, recognizer, maybe=tell)
    reached = ear.hear(ANYTHING)
    assert isinstance(reached, Utterance)
    assert early == [replace(reached.heard, ended_by=None)]
    assert len(recognizer.given) == 1


def test_an_early_result_is_dropped_when_speech_goes_on() -> None:
    clock, recognizer = Clock(), Hears("two niner", "two niner five zero")
    sound = (*silence(20), *voice(20), *silence(RULES.early + 3), *voice(20), *silence(30))
    reached = ear_on(Arrays(clock, *sound), clock, recognizer).hear(ANYTHING)
    assert isinstance(reached, Utterance)
    assert reached.audio is not None
    whole = RULES.pre_roll + 20 + RULES.early + 3 + 20 + RULES.early
    assert len(reached.audio.samples) == whole * FRAME_SAMPLES
    # A job that had not begun is cancelled, so one or two were given; the last one is the whole.
    assert len(recognizer.given[-1].samples) == whole * FRAME_SAMPLES


def test_a_time_that_is_waited_for_is_told_when_it_comes() -> None:
    clock = Clock()
    ear = ear_on(Arrays(clock, *silence(250)), clock, Hears(), long_silence=timedelta(seconds=3))
    until = timedelta(seconds=2)
    reached = ear.hear(ANYTHING, until)
    assert isinstance(reached, TimeCame)
    assert until <= reached.at < until + timedelta(seconds=0.1)


def test_what_is_being_said_is_heard_to_its_end_before_a_time_is_told() -> None:
    clock = Clock()
    sound = (*silence(20), *voice(40), *silence(60))
    ear = ear_on(Arrays(clock, *sound), clock, Hears("affirm"))
    assert isinstance(ear.hear(ANYTHING, timedelta(seconds=1)), Utterance)


def test_a_long_silence_is_told_and_then_the_next_one() -> None:
    clock = Clock()
    ear = ear_on(Arrays(clock, *silence(250)), clock, Hears(), long_silence=timedelta(seconds=3))
    for _ in range(2):
        reached = ear.hear(ANYTHING)
        assert isinstance(reached, SilenceFor)
        assert timedelta(seconds=3) <= reached.silence < timedelta(seconds=3.1)
        assert reached.at == clock.run


def test_what_is_still_being_recognized_is_no_silence() -> None:
    clock = Clock()

    class Slow(EarlyRecognition):
        def result(self) -> Heard:
            clock.run += 2 * LONG_SILENCE
            return super().result()

    ear = LiveEar(
        (Arrays(clock, *SAID, *silence(5)),),
        TECHNICIAN,
        Slow(Hears("affirm"), lambda: Hears("affirm")),
        clock.since_start,
        SleepWatch(clock.utc_now, clock.since_start),
        activity=LoudIsVoice,
    )
    assert isinstance(ear.hear(ANYTHING), Utterance)
    with pytest.raises(EndOfSound):  # and the time it took is nobody's silence
        ear.hear(ANYTHING)


def test_voice_that_is_no_utterance_is_no_silence_either() -> None:
    """A cough at two seconds: the silence is counted from there."""
    clock = Clock()
    sound = (*silence(62), *voice(1), *silence(110))
    ear = ear_on(Arrays(clock, *sound), clock, Hears(), long_silence=timedelta(seconds=3))
    reached = ear.hear(ANYTHING)
    assert isinstance(reached, SilenceFor)
    assert reached.at > timedelta(seconds=5)


def test_what_comes_while_the_tool_speaks_is_not_heard() -> None:
    clock = Clock()
    microphone = Arrays(clock)
    ear = ear_on(microphone, clock, Hears("pin fitted"))
    ear.tool_speaks()
    microphone.meanwhile(*SAID)
    with pytest.raises(EndOfSound):
        ear.hear(ANYTHING)


def test_a_voice_over_the_tool_is_told_of_when_it_may_stop_it() -> None:
    clock = Clock()
    microphone = Arrays(clock)
    ear = ear_on(microphone, clock, Hears("stand by"), own_voice_kept_out=True)
    ear.tool_speaks()
    microphone.meanwhile(*silence(20))
    assert not ear.voice_now()
    microphone.meanwhile(*voice(7))
    assert not ear.voice_now()
    microphone.meanwhile(*voice(1))
    assert ear.voice_now()
    assert ear.hear(ANYTHING) == NotHeard("technician", "It stopped the voice.")


def test_only_the_person_who_is_spoken_to_stops_the_voice() -> None:
    """Neither the second person, in whose work it may be said, nor whom their voice reaches."""
    for gains in ((0.0, 1.0), (0.5, 1.0)):
        clock = Clock()
        microphone = Arrays(clock)
        ear = ear_on(microphone, clock, Hears("stand by"), lines=BOTH, own_voice_kept_out=True)
        ear.tool_speaks()
        microphone.meanwhile(*silence_on_two(20), *blocks(0.1, 20, gains))
        assert not ear.voice_now()


def test_a_far_talker_does_not_stop_the_voice() -> None:
    clock = Clock()
    microphone = Arrays(clock, *SAID)
    ear = ear_on(microphone, clock, Hears("stand by"), own_voice_kept_out=True)
    assert isinstance(ear.hear(ANYTHING), Utterance)
    ear.tool_speaks()
    microphone.meanwhile(*silence(20), *voice(20, level=0.012))
    assert not ear.voice_now()
    microphone.meanwhile(*voice(20))
    assert ear.voice_now()


def test_the_second_person_has_a_channel_of_their_own() -> None:
    clock = Clock()
    sound = (*silence_on_two(20), *blocks(0.1, 20, (0.2, 1.0)), *silence_on_two(30))
    ear = ear_on(Arrays(clock, *sound), clock, Hears("affirm"), lines=BOTH)
    reached = ear.hear(ANYTHING)
    assert isinstance(reached, Utterance)
    assert reached.source == "second-person"
    assert reached.heard.channel == Role.SECOND_PERSON.channel
    with pytest.raises(EndOfSound):  # what leaked into the other channel is nobody's
        ear.hear(ANYTHING)


def test_one_headset_on_both_channels_is_one_person() -> None:
    clock = Clock()
    sound = (*silence_on_two(20), *blocks(0.1, 20, (1.0, 1.0)), *silence_on_two(30))
    ear = ear_on(Arrays(clock, *sound), clock, Hears("affirm"), lines=BOTH)
    reached = ear.hear(ANYTHING)
    assert isinstance(reached, Utterance)
    assert reached.source == "technician"
    with pytest.raises(EndOfSound):
        ear.hear(ANYTHING)


def silence_on_two(frames: int) -> list[Block]:
    return blocks(0.0, frames, (1.0, 1.0))


def test_a_far_talker_is_not_the_person_at_the_microphone() -> None:
    clock = Clock()
    far = (*silence(20), *voice(20, level=0.012), *silence(30))
    microphone = Arrays(clock, *SAID, *far)
    ear = ear_on(microphone, clock, Hears("affirm"))
    assert isinstance(ear.hear(ANYTHING), Utterance)
    told = ear.hear(ANYTHING)
    assert isinstance(told, NotHeard)
    assert told.problem.startswith("A voice far from the microphone.")


def test_how_loud_a_person_is_is_not_learnt_from_what_began_under_the_voice_of_the_tool() -> None:
    """It may be the tool itself, at a microphone without a headset."""
    clock = Clock()
    microphone = Arrays(clock, *voice(15, level=1.0), *silence(30))
    ear = ear_on(microphone, clock, Hears("affirm"))
    ear.tool_speaks()
    microphone.meanwhile(*silence(20), *voice(10, level=1.0))
    told, asked = ear.hear(ANYTHING), ear.hear(ANYTHING)
    assert isinstance(told, NotHeard)
    assert isinstance(asked, Utterance)
    microphone.add(*silence(20), *voice(20, level=0.05), *silence(30))
    reached = ear.hear(ANYTHING)
    assert isinstance(reached, Utterance)
    assert reached.heard.words == ("affirm",)


def test_a_voice_without_end_is_told_of_and_not_recognized() -> None:
    """Steady noise that the detector takes for voice, too: it never lets silence begin."""
    clock, recognizer = Clock(), Hears("affirm")
    ear = ear_on(Arrays(clock, *silence(20), *voice(800), *silence(30)), clock, recognizer)
    told = ear.hear(ANYTHING)
    assert isinstance(told, NotHeard)
    assert told.problem == "Voice for 15 s without a pause: no answer is so long."
    asked = ear.hear(ANYTHING)
    assert isinstance(asked, Utterance)
    assert (asked.heard.words, asked.heard.score) == ((), 0.0)
    assert asked.heard.trouble is Trouble.NO_PAUSE
    assert asked.heard.ended_by == EndedBy(EndRule.TOO_LONG, timedelta(0))
    with pytest.raises(EndOfSound):
        ear.hear(ANYTHING)
    assert recognizer.given == []


GAUGE = PhraseSet(
    (Reading(("pressure",), "psi"), Confirmation("pin fitted"), Standard(StandardWord.AFFIRM)),
    awaited=Scale.around(Decimal(10), Decimal(2800), Decimal(3200)),
)


def quick_ear(microphone: Arrays, clock: Clock, recognizer: Recognizer) -> LiveEar:
    return LiveEar(
        (microphone,),
        TECHNICIAN,
        AtOnce(recognizer, lambda: recognizer),
        clock.since_start,
        SleepWatch(clock.utc_now, clock.since_start),
        activity=LoudIsVoice,
    )


def heard_by_quick_ear(recognizer: Hears, *sound: Block) -> list[Utterance]:
    clock, found = Clock(), list[Utterance]()
    ear = quick_ear(Arrays(clock, *sound), clock, recognizer)
    with contextlib.suppress(EndOfSound):
        while True:
            reached = ear.hear(GAUGE)
            assert isinstance(reached, Utterance)
            found.append(reached)
    return found


@pytest.mark.parametrize(
    ("words", "wait"),
    [
        ("affirm", MOVES_ON),
        ("two niner five zero p s i", WAITS[Rest.NOTHING]),
        ("two niner five zero", WAITS[Rest.UNIT]),
        ("two niner", WAITS[Rest.LIKELY_MORE]),
    ],
)
def test_an_utterance_ends_by_what_was_said_and_its_hearing_tells_by_which_rule(
    words: str, wait: Wait
) -> None:
    (heard,) = heard_by_quick_ear(Hears(words), *silence(20), *voice(20), *silence(80))
    assert heard.heard.words == tuple(words.split())
    after = timedelta(milliseconds=FRAME_MS * wait.silence)
    assert heard.heard.ended_by == EndedBy(wait.rule, after)


def test_the_answer_waits_no_longer_than_the_rule_says() -> None:
    clock = Clock()
    ear = quick_ear(Arrays(clock, *silence(20), *voice(20), *silence(80)), clock, Hears("affirm"))
    ear.hear(GAUGE)
    assert clock.run == timedelta(milliseconds=FRAME_MS * (40 + MOVES_ON.silence))


def test_what_becomes_known_between_two_blocks_of_sound_ends_the_utterance_at_once() -> None:
    clock, known = Clock(), threading.Event()

    class Waits(Hears):
        def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
            assert known.wait(5)
            return super().recognize(audio, phrases)

    class BetweenBlocks(Arrays):
        """Nothing more comes, however often it is asked."""

        asked = 0

        def read(self, timeout_s: float) -> Block | None:
            try:
                return super().read(timeout_s)
            except EndOfSound:
                self.asked += 1
                if self.asked == 2:
                    known.set()
                if self.asked > 2:
                    recognized.wait(5)
                if self.asked > 4:
                    raise
                return None

    recognized = threading.Event()
    recognizer = Waits("affirm")
    sound = (*silence(20), *voice(20), *silence(MOVES_ON.silence))
    ear = ear_on(BetweenBlocks(clock, *sound), clock, recognizer, maybe=lambda _: recognized.set())
    reached = ear.hear(GAUGE)
    assert isinstance(reached, Utterance)
    assert reached.heard.words == ("affirm",)


def test_a_microphone_that_stands_still_as_the_recognizer_fails_is_seen_to_be_lost() -> None:
    """No result comes, and no further sound that would ask for one."""
    clock = Clock()

    class StandsStill(Arrays):
        """As the device does: it is lost where a whole wait brings nothing, and no sooner."""

        def read(self, timeout_s: float) -> Block | None:
            try:
                return super().read(timeout_s)
            except EndOfSound:
                if timeout_s >= PATIENCE_S:
                    raise MicrophoneLost(self.name, "gave no sound for 2 s") from None
                return None

    microphone = StandsStill(clock, *silence(20), *voice(20), *silence(RULES.early + 1))
    ear = ear_on(microphone, clock, Hears(RuntimeError("out of memory")))
    assert ear.hear(GAUGE) == HearingLost(
        "Microphone headset: gave no sound for 2 s. Plug it in again"
    )


def test_what_takes_back_an_answer_in_one_breath_is_heard_with_it() -> None:
    """ "Affirm ... no, negative": 0.3 s of silence between them."""
    recognizer = Hears("affirm", "affirm no negative")
    sound = (*silence(20), *voice(15), *silence(MOVES_ON.silence - 2), *voice(20), *silence(80))
    (heard,) = heard_by_quick_ear(recognizer, *sound)
    assert heard.heard.words == ("affirm", "no", "negative")


def test_what_is_said_before_any_answer_joins_what_was_said_before() -> None:
    """ "Two niner five zero" - "correction three zero five zero" is heard anew as a whole."""
    clock = Clock()
    before, pause, after = 20, WAITS[Rest.UNIT].silence + 1, 10
    recognizer = Hears("two niner five zero", "two niner five zero correction three zero five zero")
    microphone = Arrays(clock, *silence(20), *voice(before), *silence(pause - 1))
    ear = quick_ear(microphone, clock, recognizer)

    microphone.add(*silence(80))
    waiting = [*silence(1), *voice(after)]  # came while the answer was made ready

    def read(timeout_s: float) -> Block | None:
        ended = clock.run >= timedelta(milliseconds=FRAME_MS * (20 + before + pause - 1))
        if not timeout_s and ended and waiting:
            return waiting.pop(0)
        return Arrays.read(microphone, timeout_s)

    microphone.read = read  # type: ignore[method-assign]
    reached = ear.hear(GAUGE)
    assert isinstance(reached, Utterance)
    assert " ".join(reached.heard.words) == "two niner five zero correction three zero five zero"
    assert reached.heard.ended_by is not None
    assert reached.heard.ended_by.joined == 1
    assert reached.audio is not None
    whole = RULES.pre_roll + before + pause + after + RULES.early
    assert len(reached.audio.samples) == whole * FRAME_SAMPLES
    with pytest.raises(EndOfSound):  # and what was said first is no utterance of its own
        ear.hear(GAUGE)


def test_half_a_value_and_the_rest_after_a_second_are_one_utterance() -> None:
    """Whoever thinks at the gauge is waited for: today's 0.8 s would cut the value in two."""
    recognizer = Hears("two niner", "two niner five zero")
    sound = (*silence(20), *voice(15), *silence(35), *voice(15), *silence(30))
    (whole,) = heard_by_quick_ear(recognizer, *sound)
    assert whole.heard.words == ("two", "niner", "five", "zero")


def test_what_is_recognized_too_late_for_its_rule_still_goes_on_where_more_must_come() -> None:
    clock, recognizer = Clock(), Hears("two niner", "two niner five zero")

    class Late(EarlyRecognition):
        def known(self) -> Heard | None:
            return None

    sound = (*silence(20), *voice(15), *silence(35), *voice(15), *silence(30))
    ear = LiveEar(
        (Arrays(clock, *sound),),
        TECHNICIAN,
        Late(recognizer, lambda: recognizer),
        clock.since_start,
        SleepWatch(clock.utc_now, clock.since_start),
        activity=LoudIsVoice,
    )
    reached = ear.hear(GAUGE)
    assert isinstance(reached, Utterance)
    assert reached.heard.words == ("two", "niner", "five", "zero")
    with pytest.raises(EndOfSound):
        ear.hear(GAUGE)


def test_two_answers_one_after_the_other_are_two_utterances() -> None:
    """Once something was acted on, what follows is another one, and joins nothing."""
    between = silence(MOVES_ON.silence + 2)
    sound = (*silence(20), *voice(15), *between, *voice(15), *silence(30))
    first, second = heard_by_quick_ear(Hears("affirm", "pin fitted"), *sound)
    assert (first.heard.words, second.heard.words) == (("affirm",), ("pin", "fitted"))
    assert second.heard.ended_by is not None
    assert second.heard.ended_by.joined == 0
    assert first.audio is not None
    assert second.audio is not None
    assert second.audio.started >= first.audio.ended


def test_a_person_who_pauses_long_is_waited_for_longer_within_the_run() -> None:
    one = (*voice(15), *silence(24), *voice(15), *silence(40))
    found = heard_by_quick_ear(Hears("three thousand"), *silence(20), *(one * 12))
    paces = [each.heard.ended_by.pace for each in found if each.heard.ended_by]
    assert paces[0] == 1.0
    assert paces[-1] == 1.5
    ended = found[-1].heard.ended_by
    assert ended is not None
    assert ended.after == timedelta(milliseconds=FRAME_MS * round(1.5 * WAITS[Rest.MORE].silence))


def test_a_recognizer_that_crashes_is_started_again_and_the_person_is_asked_again() -> None:
    clock = Clock()
    ear = ear_on(Arrays(clock, *SAID, *SAID), clock, Hears(RuntimeError("out of memory"), "affirm"))
    told = ear.hear(ANYTHING)
    assert told == NotHeard(
        "technician",
        "The recognizer failed: RuntimeError: out of memory. It was started again.",
    )
    asked = ear.hear(ANYTHING)
    assert isinstance(asked, Utterance)
    assert asked.heard.score == 0.0
    again = ear.hear(ANYTHING)
    assert isinstance(again, Utterance)
    assert again.heard.words == ("affirm",)


def test_a_microphone_that_is_unplugged_is_told_of_and_waited_for() -> None:
    clock, waited = Clock(), list[float]()
    microphone = Arrays(clock, *silence(5), MicrophoneLost("headset", "it has stopped"))
    ear = ear_on(microphone, clock, Hears("affirm"), waited=waited)
    lost = ear.hear(ANYTHING)
    assert lost == HearingLost("Microphone headset: it has stopped. Plug it in again")
    refusals = 2

    def open_at_last() -> None:
        nonlocal refusals
        refusals -= 1
        if refusals >= 0:
            raise MicrophoneLost("headset", "it is not there")

    microphone.open = open_at_last  # type: ignore[method-assign]
    assert ear.hear(ANYTHING) == HearingReturned()
    assert waited == [1.0, 1.0]
    microphone.add(*SAID)
    assert isinstance(ear.hear(ANYTHING), Utterance)


def test_a_loss_is_told_before_anything_is_closed() -> None:
    """To close a stream of a sound server that stands still takes until it goes on."""
    clock, order = Clock(), list[str]()

    class Stuck(Arrays):
        def open(self) -> None:
            order.append("open")

        def close(self) -> None:
            order.append("close")

    microphone = Stuck(clock, MicrophoneLost("headset", "gave no sound for 2 s"))
    ear = ear_on(microphone, clock, Hears("affirm"), find_anew=lambda: order.append("find anew"))
    order.clear()
    assert isinstance(ear.hear(ANYTHING), HearingLost)
    assert order == []
    assert ear.hear(ANYTHING) == HearingReturned()
    assert order == ["close", "find anew", "open"]


def test_a_device_that_comes_back_at_another_rate_is_heard_at_that_rate() -> None:
    clock = Clock()
    microphone = Arrays(clock, MicrophoneLost("headset", "it has stopped"))
    ear = ear_on(microphone, clock, Hears("affirm"))
    ear.hear(ANYTHING)
    microphone.rate_hz = 48_000
    ear.hear(ANYTHING)
    three = [each for each in SAID for _ in range(3)]  # at 48 kHz three blocks are a frame
    microphone.add(*three)
    reached = ear.hear(ANYTHING)
    assert isinstance(reached, Utterance)
    assert reached.audio is not None
    frames = len(reached.audio.samples) / FRAME_SAMPLES
    assert frames == pytest.approx(RULES.pre_roll + 20 + RULES.early, abs=2)


def test_sleep_stops_the_task_safely() -> None:
    reached = reached_from(*silence(5), timedelta(minutes=12), *SAID)
    assert reached == HearingLost("the computer slept for 12 minutes")


def test_lost_sound_in_an_utterance_has_it_asked_for_again() -> None:
    clock = Clock()
    (hole,) = voice(1)
    sound = (*silence(20), *voice(10), Block(hole.samples, gap=True), *voice(15), *silence(30))
    ear = ear_on(Arrays(clock, *sound), clock, Hears("pin fitted"))
    told, why, asked = (ear.hear(ANYTHING) for _ in range(3))
    assert told == NotHeard("technician", "Sound was lost: the computer was too slow for a moment.")
    assert isinstance(why, NotHeard)
    assert isinstance(asked, Utterance)
    assert asked.heard.score == 0.0


def test_two_microphones_are_two_people() -> None:
    clock = Clock()
    one, other = Arrays(clock, *silence(60)), Arrays(clock)
    other.meanwhile(*silence(5), *voice(10), *silence(35))
    first = ear_of_two(clock, one, other, TWO_DEVICES).hear(ANYTHING)
    assert isinstance(first, Utterance)
    assert first.source == "second-person"


def test_a_second_microphone_that_gives_nothing_is_lost() -> None:
    clock = Clock()
    one = Arrays(clock, *silence(100))
    lost = ear_of_two(clock, one, Arrays(clock), TWO_DEVICES).hear(ANYTHING)
    assert lost == HearingLost("Microphone headset: it gives no sound. Plug it in again")


@pytest.mark.parametrize("speaks", ["technician", "second-person"])
@pytest.mark.parametrize("frames", [8, 20, 60])
@pytest.mark.parametrize("lag", [-8, -5, 0, 5, 8])
@pytest.mark.parametrize("rate_hz", [16_000, 48_000])
def test_of_two_devices_only_that_of_the_speaker_is_heard_though_one_is_late(
    speaks: str, frames: int, lag: int, rate_hz: int
) -> None:
    """The voice is at the other microphone too, 12 dB lower, and up to a quarter of a second late.

    A quarter of a second is more than a Bluetooth headset takes; common practice, no source.
    """
    clock = Clock()
    own, leaked = (LOUD, LOUD / 4) if speaks == "technician" else (LOUD / 4, LOUD)
    at_one = (*silence(30 + max(0, -lag)), *voice(frames, own), *silence(60))
    at_other = (*silence(30 + max(0, lag)), *voice(frames, leaked), *silence(60))
    other = Arrays(clock)
    other.rate_hz = rate_hz
    times = rate_hz // 16_000
    one = Together(clock, other, (each for each in at_other for _ in range(times)), *at_one)
    ear = ear_of_two(clock, one, other, TWO_DEVICES)
    reached = ear.hear(ANYTHING)
    assert isinstance(reached, Utterance)
    assert reached.source == speaks
    assert reached.heard.channel == {each.source: each.channel for each in Headset}[speaks]
    with pytest.raises(EndOfSound):
        ear.hear(ANYTHING)


@pytest.mark.parametrize("speaks", ["technician", "second-person"])
@pytest.mark.parametrize("frames", [8, 20])
@pytest.mark.parametrize("lag", [-8, -5, 0, 5, 8])
def test_of_two_devices_only_that_of_the_speaker_ends_early(
    speaks: str, frames: int, lag: int
) -> None:
    """What leaks into the other microphone is heard as well there, and seems over as soon."""
    clock = Clock()
    own, leaked = (LOUD, LOUD / 4) if speaks == "technician" else (LOUD / 4, LOUD)
    at_one = (*silence(30 + max(0, -lag)), *voice(frames, own), *silence(60))
    at_other = (*silence(30 + max(0, lag)), *voice(frames, leaked), *silence(60))
    other = Arrays(clock)
    recognizer = Hears("affirm")
    ear = LiveEar(
        (Together(clock, other, at_other, *at_one), other),
        TWO_DEVICES,
        AtOnce(recognizer, lambda: recognizer),
        clock.since_start,
        SleepWatch(clock.utc_now, clock.since_start),
        activity=LoudIsVoice,
    )
    reached = ear.hear(GAUGE)
    assert isinstance(reached, Utterance)
    assert reached.source == speaks
    assert reached.heard.ended_by is not None
    assert reached.heard.ended_by.rule is EndRule.NOTHING_LEFT
    with pytest.raises(EndOfSound):
        ear.hear(GAUGE)


@settings(max_examples=examples(40))
@given(st.integers(-8, 8), st.integers(8, 60), st.integers(0, 90), st.integers(8, 60))
def test_on_two_devices_two_people_who_speak_in_turn_are_both_heard(
    lag: int, frames: int, between: int, frames_of_second: int
) -> None:
    """From 0.8 s of silence on each speaks by themselves."""
    pause = RULES.silence + 8 + between
    clock = Clock()
    at_one = (
        *silence(30 + max(0, -lag)),
        *voice(frames, LOUD),
        *silence(pause),
        *voice(frames_of_second, LOUD / 4),
        *silence(60),
    )
    at_other = (
        *silence(30 + max(0, lag)),
        *voice(frames, LOUD / 4),
        *silence(pause),
        *voice(frames_of_second, LOUD),
        *silence(60),
    )
    other = Arrays(clock)
    ear = ear_of_two(clock, Together(clock, other, at_other, *at_one), other, TWO_DEVICES)
    sources = []
    with contextlib.suppress(EndOfSound):
        while True:
            reached = ear.hear(ANYTHING)
            assert isinstance(reached, Utterance)
            sources.append(reached.source)
    assert sources == ["technician", "second-person"]


def ear_of_two(clock: Clock, one: Arrays, other: Arrays, two: tuple[HeadsetLine, ...]) -> LiveEar:
    return LiveEar(
        (one, other),
        two,
        EarlyRecognition(Hears("affirm"), lambda: Hears("affirm")),
        clock.since_start,
        SleepWatch(clock.utc_now, clock.since_start),
        activity=LoudIsVoice,
    )


class Digests:
    """A recognizer that hears which sound it was given."""

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        return Heard((digest(audio),), 0.99, (), (), audio.started, audio.ended)


def digest(audio: Audio) -> str:
    return hashlib.sha256(audio.samples.tobytes()).hexdigest()


@settings(max_examples=examples(60))
@given(
    st.lists(
        st.tuples(
            st.sampled_from([(0.0, 0.0), (1.0, 0.2), (0.2, 1.0), (1.0, 1.0), (0.15, 0.1)]),
            st.integers(1, 40),
            st.booleans(),
        ),
        max_size=16,
    )
)
def test_what_is_heard_is_what_is_in_the_sound_of_that_utterance(
    parts: list[tuple[tuple[float, float], int, bool]],
) -> None:
    """An early result of one sound must never be taken for another one, whoever speaks when."""
    clock = Clock()
    microphone = Arrays(clock)
    for gains, frames, _ in parts:
        noisy = [
            Block(b.samples + np.float32(1e-4 * at), False)
            for at, b in enumerate(blocks(0.1, frames, gains))
        ]
        microphone.add(*noisy)
    microphone.add(*silence_on_two(40))
    speaks = iter([spoken for *_, spoken in parts])
    ear = ear_on(microphone, clock, Digests(), lines=BOTH)
    with contextlib.suppress(EndOfSound):
        while True:
            reached = ear.hear(ANYTHING)
            if isinstance(reached, Utterance) and reached.heard.words:
                assert reached.audio is not None
                assert reached.heard.words == (digest(reached.audio),)
            if next(speaks, False):
                ear.tool_speaks()
    ear.close()


def test_what_is_typed_is_taken_beside_what_is_heard() -> None:
    clock = Clock()
    ear = ear_on(
        Arrays(clock, *SAID, *SAID),
        clock,
        Hears("pin fitted"),
        typed=typed_at(clock, "2: pressure 2950\n"),
    )
    typed, heard = ear.hear(ANYTHING), ear.hear(ANYTHING)
    assert isinstance(typed, Utterance)
    assert (typed.source, typed.audio, typed.heard.typed) == ("keyboard", None, True)
    assert typed.heard.words == ("pressure", "two", "niner", "five", "zero")
    assert typed.heard.channel == 2
    assert isinstance(heard, Utterance)
    assert not heard.heard.typed


def test_what_is_typed_while_the_tool_speaks_is_told_of_and_answers_nothing() -> None:
    clock = Clock()
    lines = typed_at(clock, "affirm\naffirm\n")
    ear = ear_on(Arrays(clock, *SAID), clock, Hears("pin fitted"), typed=lines)
    ear.tool_speaks()
    assert ear.hear(ANYTHING) == NotHeard(
        "keyboard", "A line that was typed while the tool was speaking: type it again."
    )
    heard = ear.hear(ANYTHING)
    assert isinstance(heard, Utterance)
    assert heard.heard.words == ("pin", "fitted")


def test_the_end_of_what_is_typed_ends_nothing() -> None:
    clock = Clock()
    ear = ear_on(Arrays(clock, *SAID), clock, Hears("pin fitted"), typed=typed_at(clock, ""))
    assert isinstance(ear.hear(ANYTHING), Utterance)
