"""The encoder on the part of its window that holds sound, against the whole encoder."""

import logging
import math
import shutil
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from handsfree.hearing.audio import Audio
from handsfree.hearing.clips import read_clip
from handsfree.hearing.listeners import READER, SHORT, TwoListeners
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.network import NetworkUnusable
from handsfree.hearing.opening import open_reader, open_recognizer
from handsfree.hearing.reader import Reader
from handsfree.hearing.short_window import NAME, ShortWindow
from handsfree.hearing.transcriber import Transcriber
from handsfree.places import shipped_models
from handsfree.words.phrases import Confirmation, PhraseSet, Reading
from tests.benchmarks.speech import Clip, audio_of

PHRASES = PhraseSet(
    (Reading(("pressure",), "psi"), *map(Confirmation, ("go", "stop", "start", "help", "repeat")))
)


@pytest.fixture(scope="module")
def short() -> ShortWindow:
    return ShortWindow()


def commands(an4: tuple[Clip, ...], number: int) -> list[Clip]:
    said = {each.phrase for each in PHRASES.phrases if isinstance(each, Confirmation)}
    found = [each for each in an4 if each.kind == "command" and " ".join(each.words) in said]
    return found[:number]


def whole_window(transcriber: Transcriber, audio: Audio) -> np.ndarray:
    return np.array(transcriber.encode(audio).features, np.float32)


@pytest.mark.parametrize("clip", ["tidigits/dhd.2934z.raw", "cards/004.wav"])
def test_the_words_sound_as_in_the_whole_window(
    short: ShortWindow, transcriber: Transcriber, outside_speech: Path, clip: str
) -> None:
    """The same encoder by CTranslate2 over 30 s, where the silence attends to the words too."""
    audio = read_clip(outside_speech / clip)
    ours, theirs = short.features(audio), whole_window(transcriber, audio)
    assert ours.shape == theirs.shape == (1, 1500, 384)
    spoken = len(audio.samples) // 320
    behind = slice(spoken + 50, None)
    assert np.var(ours[:, :spoken] - theirs[:, :spoken]) < 0.05 * np.var(theirs)
    assert np.var(ours[:, behind] - theirs[:, behind]) < 0.3 * np.var(theirs)


def test_nothing_heard_is_what_the_whole_window_makes_of_nothing(
    short: ShortWindow, transcriber: Transcriber
) -> None:
    faint = np.random.default_rng(3).normal(scale=1e-3, size=16_000).astype(np.float32)
    for samples in (faint, np.zeros(0, np.float32), np.zeros(480_000 + 5_000, np.float32)):
        features = short.features(Audio(samples, timedelta(0)))
        assert features.shape == (1, 1500, 384)
        assert np.isfinite(features).all()


def test_how_loud_it_was_makes_no_difference(short: ShortWindow, outside_speech: Path) -> None:
    spoken = read_clip(outside_speech / "cards" / "004.wav").samples
    loud, quiet = (
        short.features(Audio(spoken * np.float32(gain), timedelta(0))) for gain in (1.0, 0.1)
    )
    assert np.var(loud - quiet) < 0.001 * np.var(loud)


def test_a_phrase_beyond_doubt_is_heard_by_the_short_window_alone(
    short: ShortWindow, transcriber: Transcriber, reader: Reader, an4: tuple[Clip, ...]
) -> None:
    listeners = TwoListeners(transcriber, reader, short)
    for clip in commands(an4, 3):
        heard = listeners.recognize(audio_of(clip), PHRASES)
        assert heard.words == clip.words
        assert [each.listener for each in heard.opinions] == [SHORT, READER]


def test_what_is_critical_is_heard_in_the_whole_window(
    short: ShortWindow, transcriber: Transcriber, reader: Reader, an4: tuple[Clip, ...]
) -> None:
    listeners = TwoListeners(transcriber, reader, short)
    (clip,) = commands(an4, 1)
    heard = listeners.recognize(audio_of(clip), PhraseSet(PHRASES.phrases, critical=True))
    assert heard.words == clip.words
    assert transcriber.name in {each.listener for each in heard.opinions}
    assert SHORT not in {each.listener for each in heard.opinions}


@pytest.mark.slow
@pytest.mark.parametrize("why", ["doubt", "letters"])
def test_what_is_in_doubt_is_as_if_the_short_window_had_not_listened(
    short: ShortWindow,
    transcriber: Transcriber,
    an4: tuple[Clip, ...],
    monkeypatch: pytest.MonkeyPatch,
    why: str,
) -> None:
    """Where its own score is low, and where the reader finds no such letters in the sound."""
    reader = open_reader()
    (clip,) = commands(an4, 1)
    audio = audio_of(clip)
    if why == "letters":
        monkeypatch.setattr(reader, "behind_free_a_letter", lambda *_: 1.5)
    else:
        other = audio_of(next(each for each in an4 if each.kind == "spelled"))
        monkeypatch.setattr(reader, "behind_free_a_letter", lambda *_: 0.0)
        heard_before = short.features
        monkeypatch.setattr(short, "features", lambda _: heard_before(other))
    with_it = TwoListeners(transcriber, reader, short).recognize(audio, PHRASES)
    assert with_it == TwoListeners(transcriber, reader).recognize(audio, PHRASES)


def test_a_value_is_never_taken_from_the_short_window(
    short: ShortWindow, transcriber: Transcriber, outside_speech: Path, reader: Reader
) -> None:
    audio = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw")
    heard = TwoListeners(transcriber, reader, short).recognize(audio, PHRASES)
    assert heard.words == ("two", "nine", "three", "four", "zero")
    assert SHORT not in {each.listener for each in heard.opinions}
    assert math.isfinite(heard.score)


def models_without(folder: Path, content: bytes | None) -> None:
    for each in read_catalogue().model:
        if each.package is None and each.archive is None and each.name != NAME:
            shutil.copytree(shipped_models() / each.name, folder / each.name)
    shutil.copy(shipped_models() / "catalogue.toml", folder)
    if content is not None:
        (folder / NAME).mkdir()
        (folder / NAME / "encoder.onnx").write_bytes(content)


@pytest.mark.parametrize(
    ("content", "says"),
    [(None, "cannot be read (No such file or directory)"), (b"junk", "has SHA-256")],
)
def test_without_it_phrases_are_heard_in_the_whole_window_and_one_line_says_so(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
    content: bytes | None,
    says: str,
) -> None:
    models_without(tmp_path, content)
    monkeypatch.setenv("HANDSFREE_MODELS", str(tmp_path))
    with caplog.at_level(logging.WARNING):
        assert isinstance(open_recognizer(), TwoListeners)
    (line,) = caplog.messages
    assert says in line
    assert "git checkout -- models/short-window" in line
    assert line.endswith("Phrases are heard as well, in half a second more.")


def test_another_network_in_its_place_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    entry = read_catalogue().entry("voice-activity")
    other = entry.verified_files()["silero_vad_16k_op15.onnx"]
    kind = type(read_catalogue().entry(NAME))
    monkeypatch.setattr(kind, "verified_files", lambda _: {"encoder.onnx": other})
    with pytest.raises(NetworkUnusable, match=r"encoder\.onnx is another network: it has"):
        ShortWindow()
