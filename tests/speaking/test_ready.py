"""A voice that has rendered ahead, with the engine replaced."""

import threading

import numpy as np
import pytest

from handsfree.speaking.ready import ReadyVoice, sentences
from handsfree.speaking.voice import SpeechEngineFailed


class Engine:
    """Notes what it renders; `gate` holds it back."""

    def __init__(self) -> None:
        self.rendered: list[str] = []
        self.gate = threading.Event()
        self.gate.set()
        self.begun = threading.Event()
        self.dead = False
        self.closed = False

    def render(self, text: str) -> np.ndarray:
        self.begun.set()
        self.gate.wait(10)
        if self.dead:
            raise SpeechEngineFailed("it is dead")
        self.rendered.append(text)
        return np.full(3, len(text), np.int16)

    def close(self) -> None:
        self.closed = True


def test_sentences_are_kept_apart() -> None:
    text = "Two niner five zero p s i. Inside limits. Affirm?"
    assert sentences(text) == ("Two niner five zero p s i.", "Inside limits.", "Affirm?")
    assert sentences("  ") == ()


def test_what_has_nothing_to_speak_is_no_sentence() -> None:
    """The program of the natural voice ends at a text without a sound."""
    assert sentences("Wait. ... Then go on.") == ("Wait.", "Then go on.")


def test_what_is_expected_is_rendered_once_and_ready() -> None:
    engine = Engine()
    engine.gate.clear()
    voice = ReadyVoice(engine)
    voice.expect(("Inside limits. Affirm?",))
    engine.begun.wait(10)
    engine.gate.set()
    assert list(voice.render("Inside limits.")) == [14] * 3
    voice.close()
    assert engine.rendered.count("Inside limits.") == 1


def test_what_is_about_to_be_said_comes_first() -> None:
    engine = Engine()
    engine.gate.clear()
    voice = ReadyVoice(engine)
    voice.expect(("One.", "Two.", "Three."))
    engine.begun.wait(10)
    voice.hurry(("Six five bar.", "Three."))
    done = threading.Event()
    real = engine.render

    def render(text: str) -> np.ndarray:
        sound = real(text)
        if text == "Two.":
            done.set()
        return sound

    engine.render = render  # type: ignore[method-assign]
    engine.gate.set()
    assert done.wait(10)
    voice.close()
    assert engine.rendered[:4] == ["One.", "Six five bar.", "Three.", "Two."]


def test_what_is_no_longer_expected_is_let_go() -> None:
    engine = Engine()
    voice = ReadyVoice(engine)
    for step in range(50):
        voice.expect((f"Step {step}.",))
        voice.render(f"Step {step}.")
    assert len(voice._ready) <= 1
    voice.close()


def test_an_engine_that_fails_ahead_is_met_when_the_text_must_be_said() -> None:
    engine = Engine()
    engine.dead = True
    voice = ReadyVoice(engine)
    voice.expect(("Affirm?",))
    with pytest.raises(SpeechEngineFailed):
        voice.render("Affirm?")
    voice.close()
    voice.close()
    assert engine.closed


def test_what_must_be_said_now_does_not_wait_behind_what_comes_later() -> None:
    engine = Engine()
    voice = ReadyVoice(engine)
    said = threading.Event()
    real = engine.render

    def render(text: str) -> np.ndarray:
        if text == "One.":  # not done before somebody waits for it
            engine.begun.set()
            with voice._changed:
                voice._changed.wait_for(lambda: voice._asked, 10)
        else:
            said.wait(10)
        return real(text)

    engine.render = render  # type: ignore[method-assign]
    voice.expect(("One.", "Two."))
    engine.begun.wait(10)
    voice.render("One.")
    assert engine.rendered == ["One."]
    said.set()
    voice.close()
