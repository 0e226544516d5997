from collections.abc import Callable, Iterator

import numpy as np
import pytest

from handsfree.speaking import built_in
from handsfree.speaking.voice import SpeechEngineFailed, Voice

RATE_HZ = 16_000

DIES_ONCE = """
import os, pathlib, sys, unittest.mock
marker = pathlib.Path(__file__).with_name("died")
if marker.exists():
    sys.path.remove(str(marker.parent))
    del sys.modules["pyttsx3"]
    import pyttsx3
else:
    class Engine:
        proxy = unittest.mock.Mock()
        def setProperty(self, name, value): pass
        def connect(self, topic, callback): pass
        def save_to_file(self, text, file):
            marker.touch()
            os._exit(9)
    def init(debug): return Engine()
"""

DIES_AND_IS_GONE = DIES_ONCE.replace(
    "sys.path.remove(str(marker.parent))",
    "raise ModuleNotFoundError(\"No module named 'pyttsx3'\")",
)


@pytest.fixture
def voice() -> Iterator[Voice]:
    voice = Voice(RATE_HZ)
    yield voice
    voice.close()


def test_a_rendered_sentence_can_be_heard(voice: Voice) -> None:
    samples = voice.render("Check the bottle pressure.")
    assert len(samples) / RATE_HZ > 0.5
    assert np.sqrt(np.mean(samples.astype(float) ** 2)) > 500  # of 32768: about -36 dBFS


def test_the_rate_is_the_one_asked_for(voice: Voice) -> None:
    doubled = Voice(2 * RATE_HZ)
    ratio = len(doubled.render("Two niner five zero.")) / len(voice.render("Two niner five zero."))
    doubled.close()
    assert ratio == pytest.approx(2, abs=0.05)


def test_a_voice_of_twice_the_speed_needs_about_half_the_time(voice: Voice) -> None:
    text = "Close the valve of the charging set, then read the gauge of the bottle."
    quick = Voice(RATE_HZ, speed=2.0)
    ratio = len(quick.render(text)) / len(voice.render(text))
    quick.close()
    assert 0.4 < ratio < 0.65


def test_twenty_utterances_in_a_row_are_each_themselves(voice: Voice) -> None:
    """pyttsx3 alone returns before the file is written and mixes up texts and files."""
    short = [len(voice.render("Affirm.")) / RATE_HZ for _ in range(2)][1]
    long_text = "Close the valve of the charging set, then read the gauge of the bottle."
    long = len(voice.render(long_text)) / RATE_HZ
    for _ in range(9):
        assert len(voice.render("Affirm.")) / RATE_HZ == pytest.approx(short, abs=0.05)
        assert len(voice.render(long_text)) / RATE_HZ == pytest.approx(long, abs=0.05)


def test_a_long_text_is_rendered_whole(voice: Voice) -> None:
    once = len(voice.render("Read the gauge."))
    assert len(voice.render("Read the gauge. " * 100)) > 100 * once


def test_a_missing_engine_is_named(stand_in: Callable[[str, str], None]) -> None:
    stand_in("pyttsx3", "raise ModuleNotFoundError(\"No module named 'pyttsx3'\")")
    with pytest.raises(
        SpeechEngineFailed,
        match=r"The speech engine failed: ModuleNotFoundError: No module named 'pyttsx3'\. "
        r"To mend it, install handsfree again",
    ):
        Voice(RATE_HZ)


def test_an_engine_that_ends_its_process_leaves_ours(stand_in: Callable[[str, str], None]) -> None:
    stand_in("pyttsx3", "import os; os._exit(3)")
    with pytest.raises(SpeechEngineFailed, match="its process ended with status 3"):
        Voice(RATE_HZ)


def test_an_engine_that_hangs_is_ended(
    stand_in: Callable[[str, str], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in("pyttsx3", "import threading; threading.Event().wait()")
    monkeypatch.setattr(built_in, "PATIENCE_S", 0.2)
    with pytest.raises(SpeechEngineFailed, match=r"it gave no answer in 0\.2 s"):
        Voice(RATE_HZ)


def test_an_engine_that_dies_is_replaced_and_the_utterance_is_spoken(
    stand_in: Callable[[str, str], None],
) -> None:
    stand_in("pyttsx3", DIES_ONCE)
    voice = Voice(RATE_HZ)
    assert len(voice.render("Affirm.")) > 0
    voice.close()


def test_an_engine_that_cannot_be_replaced_fails_each_time_and_in_no_other_way(
    stand_in: Callable[[str, str], None],
) -> None:
    """The first time may be met while rendering ahead, the next one when it has to be said."""
    stand_in("pyttsx3", DIES_AND_IS_GONE)
    voice = Voice(RATE_HZ)
    for _ in range(3):
        with pytest.raises(SpeechEngineFailed, match="No module named 'pyttsx3'"):
            voice.render("Affirm.")
    voice.close()


def test_the_first_utterance_has_the_pace_of_the_others(voice: Voice) -> None:
    """pyttsx3 alone loses the rate of speech at one start in sixty."""
    first, second = (len(voice.render("Two niner five zero.")) / RATE_HZ for _ in range(2))
    assert first == pytest.approx(second, abs=0.05)
