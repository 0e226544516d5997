"""Two voices at once, and a voice at the wrong speed, are told from one voice."""

import tomllib
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
import soxr

from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.clips import read_clip
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.network import NetworkUnusable
from handsfree.hearing.one_voice import NAME, OneVoice, open_one_voice
from handsfree.hearing.reader import FRAME, Reader
from handsfree.places import shipped_models
from handsfree.words.heard import Trouble
from tests.benchmarks.bad_input import KINDS
from tests.benchmarks.speech import Clip, audio_of
from tests.hearing.small_networks import as_file, passing_on
from tests.hearing.test_two_pitches import voice

# The first three features are the logits of the wrong kinds.
PLAIN = passing_on(kinds=4)


def of(**changed: np.ndarray) -> OneVoice:
    return OneVoice("plain", {"one-voice.npz": as_file(PLAIN | changed)})


def frames(*logits: tuple[int, float, float, float]) -> Samples:
    """So many frames of these logits of two voices, too fast and too slow, one after the other."""
    rows = [np.tile([*each, *[0.0] * 381], (count, 1)) for count, *each in logits]
    return np.concatenate(rows).astype(np.float32)


ONE = (-0.0, 0.0, 0.0)
# Sound for those features that need no second witness.
SILENCE = np.zeros(0, np.float32)


@pytest.fixture(scope="module")
def quiet() -> OneVoice:
    """One that takes what has no logits for one voice."""
    return of(second_bias=np.array([6, 0, 0, 0], np.float32))


@pytest.mark.parametrize(
    ("logits", "kind"),
    [
        ((12.0, 0.0, 0.0), Trouble.TWO_VOICES),
        ((0.0, 12.0, 0.0), Trouble.TOO_FAST),
        ((0.0, 0.0, 12.0), Trouble.TOO_SLOW),
    ],
)
def test_half_a_second_of_a_kind_is_that_kind(
    quiet: OneVoice, logits: tuple[float, float, float], kind: Trouble
) -> None:
    assert quiet.trouble_in(SILENCE, frames((100, *ONE), (33, *logits), (100, *ONE))) is kind


@pytest.mark.parametrize(
    ("share", "strict", "voices", "kind"),
    [
        (0.5, True, 2, Trouble.TWO_VOICES),
        (0.5, True, 1, None),
        (0.3, True, 2, Trouble.TWO_VOICES),
        (0.1, True, 2, None),
        (0.5, False, 2, Trouble.TWO_VOICES),
        (0.5, False, 1, None),
        (0.3, False, 2, None),
        (0.7, True, 1, Trouble.TWO_VOICES),
        (0.7, False, 1, None),
        (0.95, False, 1, Trouble.TWO_VOICES),
    ],
)
def test_what_is_like_two_voices_is_doubted_where_it_has_two_pitches_and_sooner_if_strict(
    quiet: OneVoice, *, share: float, strict: bool, voices: int, kind: Trouble | None
) -> None:
    logit = 6 + np.log(share / (1 - share))
    half = frames((100, *ONE), (33, logit, 0.0, 0.0), (100, *ONE))
    assert quiet.shares(half)[Trouble.TWO_VOICES] == pytest.approx(share, abs=0.02)
    sound = np.sum([voice(hertz) for hertz in (110, 173)[:voices]], axis=0)
    assert quiet.trouble_in(sound, half, strict=strict) is kind


@pytest.mark.parametrize(("share", "unsure"), [(0.1, False), (0.2, True), (0.5, True)])
def test_what_two_pitches_could_make_two_voices_is_not_surely_one(
    quiet: OneVoice, share: float, unsure: bool
) -> None:
    logit = 6 + np.log(share / (1 - share))
    assert quiet.is_unsure(frames((100, *ONE), (33, logit, 0.0, 0.0), (100, *ONE))) is unsure


def test_two_pitches_alone_are_not_two_voices(quiet: OneVoice) -> None:
    """A hum and a voice have two as well."""
    both = voice(110) + voice(173)
    assert quiet.trouble_in(both, frames((100, *ONE))) is None


def test_a_tenth_of_a_second_of_a_kind_is_nothing(quiet: OneVoice) -> None:
    brief = frames((100, *ONE), (5, 12.0, 0.0, 0.0), (100, *ONE))
    assert quiet.trouble_in(SILENCE, brief) is None


def test_no_frames_at_all_are_nothing(quiet: OneVoice) -> None:
    assert quiet.trouble_in(SILENCE, np.zeros((0, 384), np.float32)) is None


def test_a_file_that_is_no_model_is_refused() -> None:
    with pytest.raises(NetworkUnusable, match="does not hold its weights"):
        OneVoice("broken", {"one-voice.npz": b"no numbers"})


def test_weights_of_another_shape_are_refused() -> None:
    with pytest.raises(NetworkUnusable, match="does not fit 384 features and 4 kinds"):
        of(first=np.zeros((80, 3), np.float32))


def test_it_was_made_for_the_reader_that_comes_with_it() -> None:
    card = tomllib.loads((shipped_models() / NAME / "model.toml").read_text(encoding="utf-8"))
    catalogue = read_catalogue()
    assert card["made_for"]["reader.onnx"] == catalogue.entry("reader").sha256["reader.onnx"]
    assert card["sha256"] == catalogue.entry(NAME).sha256


def told(sound: Samples, reader: Reader) -> Trouble | None:
    read = reader.read(Audio(sound, timedelta(0)))
    assert read is not None
    return open_one_voice().trouble_in(sound, read.features[0, : len(sound) // FRAME])


def speech(folder: Path) -> Samples:
    """TIDIGITS, as carried by pocketsphinx: "two nine three four zero"."""
    return read_clip(folder / "tidigits" / "dhd.2934z.raw").samples


def test_one_voice_is_one_voice(reader: Reader, outside_speech: Path) -> None:
    assert told(speech(outside_speech), reader) is None


@pytest.mark.parametrize(("speed", "kind"), [(2.0, Trouble.TOO_FAST), (0.5, Trouble.TOO_SLOW)])
def test_a_voice_that_is_played_at_the_wrong_rate_is_told(
    reader: Reader, outside_speech: Path, speed: float, kind: Trouble
) -> None:
    sound = soxr.resample(speech(outside_speech), SAMPLE_RATE * speed, SAMPLE_RATE)
    assert told(np.asarray(sound, np.float32), reader) is kind


def test_two_people_at_once_are_told_and_each_alone_is_not(
    reader: Reader, an4: tuple[Clip, ...]
) -> None:
    readings = [clip for clip in an4 if clip.kind == "reading"]
    first = readings[0]
    second = next(clip for clip in readings if clip.speaker != first.speaker)
    one, other = (audio_of(clip).samples for clip in (first, second))
    both = KINDS["two people at once"](one, other, np.random.default_rng(1))
    assert [told(each, reader) for each in (one, other, both)] == [None, None, Trouble.TWO_VOICES]
