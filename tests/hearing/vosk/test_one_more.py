"""One more listener takes belief away and never gives any. Vosk's results are recorded ones."""

import math
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.trust import CRITICAL_VALUE_AT, PHRASE_AT, VALUE_AT
from handsfree.hearing.audio import Audio
from handsfree.hearing.clips import read_clip
from handsfree.hearing.listeners import TwoListeners
from handsfree.hearing.models.installing import add_model
from handsfree.hearing.opening import open_reader
from handsfree.hearing.transcriber import Transcriber
from handsfree.hearing.vosk import one_more
from handsfree.hearing.vosk.listener import VoskListener
from handsfree.hearing.vosk.one_more import WithOneMore, with_installed
from handsfree.words.heard import Heard
from handsfree.words.phrases import BUILT_IN, Confirmation, PhraseSet, Reading
from tests.hearing.model_folder import model_folder
from tests.hearing.said import FIRST, Said
from tests.hearing.vosk.recorded import RecordedModel, Recording, recording

PRESSURE = PhraseSet((Reading(("pressure",), "psi"), Confirmation("pin fitted")))
CRITICAL = PhraseSet(PRESSURE.phrases, critical=True)
AUDIO = Audio(np.zeros(16_000, np.float32), timedelta(0))


def both(
    words: str, score: float, other: Recording, phrases: PhraseSet = CRITICAL, lacks: str = ""
) -> Heard:
    listener = VoskListener(RecordedModel(other, lacks.split()))
    return WithOneMore(Said(words, score), listener).recognize(AUDIO, phrases)


def test_agreement_leaves_the_score_as_it_is_and_both_opinions_on_the_record() -> None:
    heard = both("two nine", 0.97, recording("pressure two niner"))
    assert heard.words == ("two", "nine")
    assert heard.score == 0.97
    assert [each.listener for each in heard.opinions] == ["first", "recorded-model"]


@pytest.mark.parametrize("other", ["two five", "pin fitted", "[unk]", "two [unk]", ""])
def test_a_critical_value_that_the_other_does_not_hear_is_not_believed(other: str) -> None:
    heard = both("two nine", 0.99, recording(other))
    assert heard.words == ("two", "nine")
    assert heard.score == pytest.approx(0.099)


def test_where_the_other_is_nearly_undecided_it_takes_less() -> None:
    heard = both("two nine", 0.98, recording("two five", ("two nine", 0.5)))
    assert heard.score == pytest.approx(0.98 / (1 + math.exp(0.5)))


def test_what_is_doubtful_is_put_to_the_other_too() -> None:
    assert both("two nine", 0.93, recording("two five"), PRESSURE).score < 0.1


@pytest.mark.parametrize("score", [0.96, 1.0, 0.49, 0.0])
def test_what_is_sure_or_doubted_anyway_is_not_put_to_the_other(score: float) -> None:
    model = RecordedModel(recording("two five"))
    heard = WithOneMore(Said("two nine", score), VoskListener(model)).recognize(AUDIO, PRESSURE)
    assert heard.score == score
    assert model.decoders == []


def test_nothing_heard_is_not_put_to_the_other() -> None:
    heard = both("", 0.0, recording("two five"))
    assert heard.words == ()
    assert heard.opinions == (FIRST,)


def test_who_does_not_know_a_word_has_no_say_where_it_is_heard() -> None:
    heard = both("two niner", 0.97, recording("two [unk]"), lacks="niner")
    assert heard.score == 0.97
    assert heard.opinions == (FIRST,)


texts = st.lists(
    st.sampled_from(("two", "nine", "five", "pin", "fitted", "[unk]")), max_size=4
).map(" ".join)


@given(
    texts,
    st.floats(0, 1),
    texts,
    st.lists(st.tuples(texts, st.floats(0, 50))),
    st.sampled_from((PRESSURE, CRITICAL)),
)
def test_no_answer_of_the_other_adds_belief_or_changes_the_words(
    words: str,
    score: float,
    other: str,
    alternatives: list[tuple[str, float]],
    phrases: PhraseSet,
) -> None:
    heard = both(words, score, recording(other, *alternatives), phrases)
    assert heard.score <= score
    assert heard.words == tuple(words.split())
    # Put to the other and not heard by it in the same meaning: below every threshold.
    if len(heard.opinions) == 2 and PRESSURE.parse(heard.opinions[1].words) != PRESSURE.parse(
        heard.words
    ):
        assert heard.score < min(VALUE_AT, PHRASE_AT)


@pytest.mark.parametrize(
    ("other", "believed"),
    [("two niner three four zero", True), ("two five three four zero", False)],
)
def test_the_chosen_model_joins_the_embedded_two(
    transcriber: Transcriber,
    outside_speech: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    other: str,
    believed: bool,
) -> None:
    """TIDIGITS, as carried by pocketsphinx: dhd.2934z is "two nine three four zero"."""
    embedded = TwoListeners(transcriber, open_reader())
    models = tmp_path / "models"
    models.mkdir()
    (models / "catalogue.toml").write_text("model = []\n")
    monkeypatch.setenv("HANDSFREE_MODELS", str(models))
    add_model(str(model_folder(tmp_path / "small")), trial=lambda *_: ())
    monkeypatch.setattr(one_more, "VoskModel", lambda name, folder: RecordedModel(recording(other)))
    joined = with_installed(embedded)
    audio = read_clip(outside_speech / "tidigits" / "dhd.2934z.raw")
    heard = joined.recognize(audio, PhraseSet(BUILT_IN["number"].phrases, critical=True))
    assert heard.words == ("two", "nine", "three", "four", "zero")
    assert [each.listener for each in heard.opinions].count("recorded-model") == 1
    assert len(heard.opinions) == 4
    assert (heard.score >= CRITICAL_VALUE_AT) is believed
