"""A recording that stops within a word is told from one that ends behind it."""

import tomllib
from datetime import timedelta

import numpy as np
import pytest

from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.broken_off import NAME, BrokenOff, open_broken_off
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.network import NetworkUnusable
from handsfree.hearing.reader import FRAME, Reader
from handsfree.places import shipped_models
from tests.benchmarks.bad_input import KINDS
from tests.benchmarks.speech import Clip, audio_of
from tests.hearing.small_networks import as_file, passing_on

CUT = KINDS["cut within the last word"]
# The first feature is the logit of "broken off".
PLAIN = passing_on(kinds=2)


def of(**changed: np.ndarray) -> BrokenOff:
    return BrokenOff("plain", {"broken-off.npz": as_file(PLAIN | changed)})


def sound(*levels: float) -> Samples:
    """A frame of noise at each of these levels."""
    noise = np.random.default_rng(1).standard_normal((len(levels), FRAME))
    loud = noise * np.array(levels)[:, None]
    return np.asarray(loud.reshape(-1), np.float32)


def features(*logits: float) -> Samples:
    """A frame of features for each, whose first is the logit of "broken off"."""
    rows = np.zeros((len(logits), 384), np.float32)
    rows[:, 0] = logits
    return rows


def test_the_last_frame_tells() -> None:
    loud = sound(0.1, 0.1, 0.1)
    assert of().is_broken_off(loud, features(0, 0, 9))
    assert not of().is_broken_off(loud, features(9, 9, 0))


def test_what_a_program_filled_in_behind_it_is_passed_over() -> None:
    filled = np.concatenate([sound(0.1, 0.1), np.zeros(3 * FRAME, np.float32)])
    assert of().is_broken_off(filled, features(0, 9, 0, 0, 0))


def test_the_silence_of_a_microphone_is_an_end() -> None:
    ended = sound(0.1, 0.1, 0.001)  # 40 dB below the voice
    assert not of().is_broken_off(ended, features(0, 9, 0))


def test_half_a_frame_at_the_end_is_left_out() -> None:
    assert of().is_broken_off(sound(0.1, 0.1)[: -FRAME // 2], features(9, 0))


@pytest.mark.parametrize("frames", [0, 3])
def test_silence_is_not_broken_off(frames: int) -> None:
    assert not of().is_broken_off(np.zeros(frames * FRAME, np.float32), features(*[9.0] * frames))


def test_a_file_that_is_no_model_is_refused() -> None:
    with pytest.raises(NetworkUnusable, match="does not hold its weights"):
        BrokenOff("broken", {"broken-off.npz": b"no numbers"})


def test_weights_of_another_shape_are_refused() -> None:
    with pytest.raises(NetworkUnusable, match="does not fit 384 features and 2 kinds"):
        of(second_bias=np.zeros(4, np.float32))


def test_it_was_made_for_the_reader_that_comes_with_it() -> None:
    card = tomllib.loads((shipped_models() / NAME / "model.toml").read_text(encoding="utf-8"))
    catalogue = read_catalogue()
    assert card["made_for"]["reader.onnx"] == catalogue.entry("reader").sha256["reader.onnx"]
    assert card["sha256"] == catalogue.entry(NAME).sha256


def is_broken_off(samples: Samples, reader: Reader) -> bool:
    read = reader.read(Audio(samples, timedelta(0)))
    assert read is not None
    return open_broken_off().is_broken_off(samples, read.features[0])


def test_of_twenty_readings_most_that_are_cut_are_told_and_none_that_is_whole(
    reader: Reader, an4: tuple[Clip, ...]
) -> None:
    clips = [clip for clip in an4 if clip.kind == "reading"][:20]
    random = np.random.default_rng(5)
    whole = [audio_of(clip).samples for clip in clips]
    cut = [CUT(each, each, random) for each in whole]
    assert sum(is_broken_off(each, reader) for each in whole) == 0
    assert sum(is_broken_off(each, reader) for each in cut) >= 14


def test_a_second_of_silence_behind_the_cut_hides_nothing(
    reader: Reader, an4: tuple[Clip, ...]
) -> None:
    clip = next(clip for clip in an4 if clip.kind == "reading")
    whole = audio_of(clip).samples
    cut = CUT(whole, whole, np.random.default_rng(5))
    filled = np.concatenate([cut, np.zeros(SAMPLE_RATE, np.float32)])
    assert is_broken_off(filled, reader) == is_broken_off(cut, reader)
