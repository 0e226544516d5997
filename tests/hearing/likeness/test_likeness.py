"""The network for voices and its front end against what others compute.

Source: `make_reference.py`, which ran librosa 0.11 and Resemblyzer 0.1.4 in torch on a drawn sound.
"""

import hashlib
from pathlib import Path

import numpy as np
import pytest

from handsfree.hearing.likeness.embedding import VoiceNetwork, mean_of
from handsfree.hearing.likeness.mel import mel_power
from handsfree.hearing.network import NetworkUnusable
from tests.hearing.likeness.sound import drawn

REFERENCE = np.load(Path(__file__).with_name("reference.npz"))


@pytest.fixture(scope="module")
def network() -> VoiceNetwork:
    return VoiceNetwork()


def test_the_mel_spectrogram_is_librosas() -> None:
    ours, theirs = mel_power(drawn(0.7)), REFERENCE["mel"]
    assert ours.shape == theirs.shape
    assert np.abs(ours - theirs).max() < 1e-4 * theirs.max()


@pytest.mark.parametrize("seconds", [0.7, 2.0, 5.3], ids="{} s".format)
def test_a_voice_is_what_resemblyzer_makes_of_it(seconds: float, network: VoiceNetwork) -> None:
    """Also where a clip is shorter than one window, or its last window is left out."""
    ours = network.voice_in(drawn(seconds))
    assert float(ours @ REFERENCE[f"voice_{seconds}"]) > 0.9999


def test_silence_and_no_sound_at_all_have_a_voice_too(network: VoiceNetwork) -> None:
    """A clip of a broken headset must not stop a page."""
    for samples in (np.zeros(16_000, np.float32), np.zeros(0, np.float32)):
        assert np.isfinite(network.voice_in(samples)).all()


def test_how_loud_it_is_does_not_count(network: VoiceNetwork) -> None:
    loud = network.voice_in(drawn(2.0))
    assert float(loud @ network.voice_in(np.float32(0.1) * drawn(2.0))) > 0.999


def test_what_several_have_in_common_has_length_one(network: VoiceNetwork) -> None:
    common = mean_of([network.voice_in(drawn(1.0, hertz)) for hertz in (110.0, 220.0)])
    assert float(np.linalg.norm(common)) == pytest.approx(1.0, abs=1e-5)


def test_another_network_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "voices").mkdir()
    (tmp_path / "voices" / "voices.onnx").write_bytes(b"no network")
    digest = hashlib.sha256(b"no network").hexdigest()
    (tmp_path / "catalogue.toml").write_text(
        '[[model]]\nname = "voices"\nengine = "-"\nsource = "-"\nlicence = "-"\nsize_bytes = 10\n'
        f'[model.sha256]\n"voices.onnx" = "{digest}"\n'
    )
    monkeypatch.setenv("HANDSFREE_MODELS", str(tmp_path))
    with pytest.raises(NetworkUnusable, match=r"voices\.onnx is no network"):
        VoiceNetwork()
