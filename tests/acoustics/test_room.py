import numpy as np
import pytest

from handsfree.acoustics.room import CABIN, HANGAR, Room, in_room, response

RATE = 16_000


@pytest.mark.parametrize("room", [HANGAR, CABIN])
def test_the_echo_falls_by_60_db_in_the_reverberation_time(room: Room) -> None:
    """By backward integration of the squared response (M. R. Schroeder, 1965; from memory)."""
    echo = response(room, np.random.default_rng(1))
    echo[0] = 0.0
    left_db = 10 * np.log10(np.cumsum(echo[::-1] ** 2)[::-1] / np.sum(echo**2) + 1e-12)
    at_5, at_35 = (int(np.argmax(left_db < level)) for level in (-5, -35))
    assert 2 * (at_35 - at_5) / RATE == pytest.approx(room.reverberation_s, rel=0.05)


@pytest.mark.parametrize("room", [HANGAR, CABIN])
def test_the_direct_sound_is_above_the_echo_by_as_much_as_stated(room: Room) -> None:
    click = response(room, np.random.default_rng(2))
    assert click[0] == 1
    assert -10 * np.log10(np.sum(click[1:] ** 2)) == pytest.approx(room.direct_db, abs=1e-6)


def test_speech_in_a_room_begins_and_ends_where_it_did() -> None:
    speech = np.zeros(RATE, np.float32)
    speech[4_000] = 1.0
    heard = in_room(speech, CABIN, np.random.default_rng(3))
    assert heard.shape == speech.shape
    assert int(np.argmax(np.abs(heard))) == 4_000
    assert np.abs(heard[:4_000]).max() < 1e-6


def test_no_room_reverberates_for_no_time() -> None:
    with pytest.raises(ValueError, match="no room reverberates for 0 s"):
        Room(0, 10)
