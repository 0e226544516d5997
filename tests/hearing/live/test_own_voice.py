"""Whether the tool's own voice reaches the microphones, by what is heard while it speaks."""

import pytest

from handsfree.hearing.live.own_voice import OwnVoice

SECOND = 31  # frames of 32 ms, a little less than a second


def says(own_voice: OwnVoice, frames: int, voice_from: int | None = None) -> bool:
    """The tool speaks for so many frames, with a voice at the microphone from one of them on."""
    own_voice.begins()
    for frame in range(frames):
        own_voice.frame(is_voice=voice_from is not None and frame >= voice_from)
    own_voice.ends()
    return own_voice.is_kept_out


def kept_out() -> OwnVoice:
    own_voice = OwnVoice()
    assert says(own_voice, 4 * SECOND)
    return own_voice


def test_nothing_is_known_before_the_tool_has_spoken_for_three_seconds() -> None:
    own_voice = OwnVoice()
    assert not own_voice.is_kept_out
    assert not says(own_voice, 2 * SECOND)
    assert says(own_voice, 2 * SECOND)


def test_a_person_who_says_so_needs_no_proof() -> None:
    own_voice = OwnVoice(is_kept_out=True)
    assert own_voice.is_kept_out
    assert all(says(own_voice, SECOND, voice_from=0) for _ in range(5))


@pytest.mark.parametrize("voice_from", [0, 20, SECOND])
def test_while_it_is_not_known_any_voice_begins_the_count_anew(voice_from: int) -> None:
    own_voice = OwnVoice()
    assert not says(own_voice, 3 * SECOND)
    assert not says(own_voice, 2 * SECOND, voice_from)
    assert not says(own_voice, 3 * SECOND)
    assert says(own_voice, SECOND)


def test_an_open_loudspeaker_is_never_taken_for_a_headset() -> None:
    own_voice = OwnVoice()
    assert not any(says(own_voice, 5 * SECOND, voice_from=3) for _ in range(20))


def test_people_who_speak_over_the_tool_now_and_then_are_no_echo() -> None:
    own_voice = kept_out()
    for voice_from in (2, None, 2, SECOND, SECOND, SECOND, 2):
        assert says(own_voice, 2 * SECOND, voice_from)


def test_a_voice_that_begins_with_the_tool_twice_in_a_row_is_its_own() -> None:
    """A headset that was taken off lies beside its microphone."""
    own_voice = kept_out()
    assert says(own_voice, 2 * SECOND, voice_from=3)
    assert not says(own_voice, 2 * SECOND, voice_from=3)
    assert not says(own_voice, 2 * SECOND)
    assert says(own_voice, 2 * SECOND)


def test_what_is_said_without_being_listened_to_tells_nothing() -> None:
    """Several sentences in a row may be played before any sound is taken up."""
    own_voice = kept_out()
    says(own_voice, 2 * SECOND, voice_from=3)
    own_voice.begins()
    own_voice.ends()
    assert not says(own_voice, 2 * SECOND, voice_from=3)
