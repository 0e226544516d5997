"""The synthetic people: each another sound, and the same one each time."""

import stat
from pathlib import Path

import numpy as np
import pytest

from handsfree.rehearse import voices
from handsfree.rehearse.voices import Speakers, TooFewVoices, VoiceKind, chosen_voices
from handsfree.speaking.engine_process import SpeechEngineFailed
from handsfree.speaking.flite import FliteEngine, FliteFailed, flite_voices

WORDS = "charging hose fitted"


def test_equal_words_are_equal_sound_whatever_was_said_before() -> None:
    kinds = [each for each in chosen_voices(3) if each.engine == "built-in"]
    speakers = Speakers()
    first = speakers.say(kinds[0], WORDS)
    speakers.say(kinds[0], "charging valve closed")
    again = speakers.say(kinds[0], WORDS)
    speakers.close()
    assert np.array_equal(first, again)
    assert first.dtype == np.float32
    assert 0.8 < len(first) / 16_000 < 3


def test_each_built_in_voice_is_another_one() -> None:
    speakers = Speakers()
    kinds = [each for each in voices._BUILT_IN_KINDS][:4]
    said = [speakers.say(each, WORDS).tobytes() for each in kinds]
    speakers.close()
    assert len(set(said)) == len(kinds)


def test_a_smaller_person_has_a_higher_voice_and_the_same_pace() -> None:
    speakers = Speakers()
    usual, small = (
        speakers.say(VoiceKind("x", "built-in", "en-us+m3", size=size), WORDS)
        for size in (1.0, 1.25)
    )
    speakers.close()
    assert len(small) == pytest.approx(len(usual), rel=0.15)

    def middle_hz(sound: "np.typing.NDArray[np.float32]") -> float:
        power = np.abs(np.fft.rfft(sound)) ** 2
        return float(np.sum(power * np.fft.rfftfreq(len(sound), 1 / 16_000)) / power.sum())

    assert middle_hz(small) > 1.1 * middle_hz(usual)


def test_more_voices_than_there_are_is_told_with_how_many_there_are() -> None:
    with pytest.raises(TooFewVoices, match=r"--voices 99: \d+ voices are installed") as error:
        chosen_voices(99)
    assert error.value.exit_code == 2


def test_no_two_voices_have_one_name() -> None:
    kinds = voices.installed_voices()
    assert len({each.name for each in kinds}) == len(kinds) >= 8


@pytest.fixture
def program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A program of that name, which lists two voices, and fails at "loud"."""
    file = tmp_path / "flite"
    file.write_text(
        "#!/bin/sh\n"
        'if [ "$1" = -lv ]; then echo "Voices available: kal awb_time slt "; exit 0; fi\n'
        'case "$*" in *loud*) echo "no such word" >&2; exit 3;; esac\n'
        'echo "$@" > "$8"\n'
    )
    file.chmod(file.stat().st_mode | stat.S_IXUSR)
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    flite_voices.cache_clear()
    return file


def test_the_voices_of_flite_are_listed_but_for_the_one_that_tells_the_time(program: Path) -> None:
    assert flite_voices() == ("kal", "slt")
    assert "flite slt" in {each.name for each in voices.installed_voices()}
    flite_voices.cache_clear()


def test_flite_is_asked_for_its_voice_and_pace(program: Path, tmp_path: Path) -> None:
    FliteEngine("slt", tmp_path, 2.0).render(WORDS, tmp_path / "a.wav")
    said = (tmp_path / "a.wav").read_text()
    assert said.startswith("-voice slt --setf duration_stretch=0.500 -t charging hose fitted")
    flite_voices.cache_clear()


def test_flite_that_fails_says_why(program: Path, tmp_path: Path) -> None:
    with pytest.raises(FliteFailed, match="The program flite failed: no such word"):
        FliteEngine("slt", tmp_path, 1.0).render("loud", tmp_path / "a.wav")
    flite_voices.cache_clear()


def test_without_flite_there_are_none_of_its_voices(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    flite_voices.cache_clear()
    assert flite_voices() == ()
    flite_voices.cache_clear()


class LateVoice:
    """A voice whose engine is late so many times."""

    late = 0

    def __init__(self, *_: object) -> None:
        self.closed = False

    def render(self, text: str) -> "np.typing.NDArray[np.int16]":
        if LateVoice.late:
            LateVoice.late -= 1
            raise SpeechEngineFailed("it gave no answer")
        return np.full(4, 16_384, np.int16)

    def close(self) -> None:
        self.closed = True


def test_words_that_are_heard_at_several_ratios_are_rendered_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rendered: list[str] = []

    class CountingVoice(LateVoice):
        def render(self, text: str) -> "np.typing.NDArray[np.int16]":
            rendered.append(text)
            return super().render(text)

    monkeypatch.setattr(voices, "Voice", CountingVoice)
    speakers, kind = Speakers(), VoiceKind("x", "built-in", "en-us+m3")
    for words in ("one", "two", "one", "two"):
        assert speakers.say(kind, words).tolist() == [0.5] * 4
    speakers.say(VoiceKind("y", "built-in", "en-us+m3"), "one")
    assert rendered == ["one", "two", "one"]
    for number in range(64):
        speakers.say(kind, f"number {number}")
    speakers.say(kind, "one")  # not kept for ever
    assert rendered[-1] == "one"


@pytest.mark.parametrize(("late", "speaks"), [(0, True), (2, True), (3, False)])
def test_an_engine_that_is_late_is_begun_anew_but_not_for_ever(
    monkeypatch: pytest.MonkeyPatch, late: int, speaks: bool
) -> None:
    monkeypatch.setattr(voices, "Voice", LateVoice)
    LateVoice.late = late
    speakers, kind = Speakers(), VoiceKind("x", "built-in", "en-us+m3")
    if speaks:
        assert speakers.say(kind, WORDS).tolist() == [0.5] * 4
    else:
        with pytest.raises(SpeechEngineFailed, match="it gave no answer"):
            speakers.say(kind, WORDS)
