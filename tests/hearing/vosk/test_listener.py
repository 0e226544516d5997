"""A listener over Vosk, on recorded results: what it is told, and what it makes of the answers.

How well Vosk hears English is nowhere tested: there was no English model.
"""

import logging
import math
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.trust import PHRASE_AT, VALUE_AT
from handsfree.hearing.audio import Audio
from handsfree.hearing.vosk.grammar import Grammar
from handsfree.hearing.vosk.listener import (
    HIGHEST_SCORE,
    OtherLanguage,
    VoskListener,
    check_language,
)
from handsfree.words.heard import Heard
from handsfree.words.phrases import Confirmation, PhraseSet, Reading
from tests.hearing.vosk.recorded import (
    EMPTY_ALTERNATIVES,
    EMPTY_WORDS,
    RecordedDecoder,
    RecordedModel,
    Recording,
    recording,
)

PRESSURE = PhraseSet((Reading(("pressure",), "psi"), Confirmation("pin fitted")))
SECOND = Audio(np.linspace(-1, 1, 16_000, dtype=np.float32), timedelta(seconds=5))


def heard(played: Recording, phrases: PhraseSet = PRESSURE) -> Heard:
    return VoskListener(RecordedModel(played)).recognize(SECOND, phrases)


def test_a_reading_is_heard_with_its_words_alternatives_and_times() -> None:
    said = heard(recording("pressure two niner five zero", ("pressure two five five zero", 1.0)))
    assert said.words == ("pressure", "two", "niner", "five", "zero")
    assert said.alternatives == (("pressure", "two", "five", "five", "zero"),)
    [opinion] = said.opinions
    assert opinion.listener == "recorded-model"
    assert opinion.margin == pytest.approx(1.0)
    assert opinion.log_probability == pytest.approx(-math.log(1 + math.exp(-1)))
    assert (said.started, said.ended) == (timedelta(seconds=5), timedelta(seconds=6))


def test_the_score_is_below_every_threshold_however_sure_vosk_is() -> None:
    sure = heard(recording("two niner five zero"))
    assert sure.score == HIGHEST_SCORE
    assert min(VALUE_AT, PHRASE_AT) > HIGHEST_SCORE


def test_a_word_of_low_confidence_lowers_the_score() -> None:
    assert heard(recording("two nine", confidence=0.5)).score == HIGHEST_SCORE / 2


def test_what_is_no_phrase_is_not_heard() -> None:
    """The unknown word, or known ones in an order that no phrase has."""
    for text in ("pin [unk]", "fitted pin", "[unk]"):
        said = heard(recording(text))
        assert said.words == ()
        assert said.score == 0


def test_no_sound_is_nothing_heard() -> None:
    said = heard(Recording(EMPTY_WORDS, EMPTY_ALTERNATIVES))
    assert said.words == ()
    assert said.score == 0
    assert said.opinions[0].log_probability == -math.inf


def test_both_decoders_get_all_the_sound_as_16_bit_and_the_grammar() -> None:
    model = RecordedModel(recording("two nine"))
    VoskListener(model).recognize(SECOND, PRESSURE)
    expected = np.round(SECOND.samples * 32767).astype("<i2").tobytes()
    assert [each.accepted for each in model.decoders] == [expected, expected]
    for decoder in model.decoders:
        assert set(decoder.grammar.words) == PRESSURE.vocabulary
        assert decoder.grammar.unknown == ("[unk]",)


def test_sound_is_taken_in_piece_by_piece() -> None:
    stream = VoskListener(RecordedModel(recording("two nine"))).begin(PRESSURE, timedelta(0))
    for piece in np.array_split(SECOND.samples, 4):
        stream.accept(piece)
    taken = stream.finish()
    assert taken.heard.words == ("two", "nine")
    assert taken.heard.ended == timedelta(seconds=1)
    assert [each.started for each in taken.words] == [timedelta(0), timedelta(seconds=0.3)]


def test_words_that_the_model_lacks_are_named_once(caplog: pytest.LogCaptureFixture) -> None:
    listener = VoskListener(RecordedModel(recording("two nine"), lacks={"niner", "fife"}))
    with caplog.at_level(logging.WARNING):
        listener.recognize(SECOND, PRESSURE)
        listener.recognize(SECOND, PRESSURE)
    assert caplog.messages == [
        "Speech model recorded-model does not know the words fife, niner: "
        "it has no say where one is heard."
    ]
    assert not listener.can_hear(("two", "niner"))
    assert listener.can_hear(("two", "nine"))


def test_a_model_that_knows_no_word_of_the_set_hears_nothing() -> None:
    """An empty list is to Vosk no grammar at all, and it would hear anything."""
    model = RecordedModel(recording("pin fitted"), lacks={"pin", "fitted"})
    said = VoskListener(model).recognize(SECOND, PhraseSet((Confirmation("pin fitted"),)))
    assert said.words == ()
    assert model.decoders == []


def test_when_the_library_fails_nothing_was_heard(caplog: pytest.LogCaptureFixture) -> None:
    class Failing(RecordedModel):
        def decoder(self, grammar: Grammar) -> RecordedDecoder:
            decoder = super().decoder(grammar)
            decoder.AcceptWaveform = refuse  # type: ignore[method-assign]
            return decoder

    def refuse(data: bytes) -> int:
        raise Exception("Failed to process waveform")  # as vosk 0.3.45 does

    with caplog.at_level(logging.WARNING):
        said = VoskListener(Failing(recording("two nine"))).recognize(SECOND, PRESSURE)
    assert said.words == ()
    assert said.score == 0
    assert said.ended == SECOND.ended
    assert "Vosk failed on an utterance (Failed to process waveform)" in caplog.text


def test_an_answer_that_is_not_documented_is_nothing_heard(
    caplog: pytest.LogCaptureFixture,
) -> None:
    with caplog.at_level(logging.WARNING):
        assert heard(Recording("nonsense", EMPTY_ALTERNATIVES)).words == ()
    assert "Vosk answered 'nonsense', which is none of its results" in caplog.text


def test_a_model_without_words_for_a_figure_is_of_another_language() -> None:
    with pytest.raises(OtherLanguage, match=r"model-x: it does not know the words zero, nine, so"):
        check_language("model-x", ("zero", "oh", "nine", "niner", "fife"))


def test_a_model_that_lacks_only_the_words_of_radiotelephony_is_english() -> None:
    check_language("model-x", ("niner", "fife", "tree", "fower"))


texts = st.lists(
    st.sampled_from(("two", "nine", "pin", "fitted", "[unk]")), min_size=1, max_size=4
).map(" ".join)


@given(texts, st.lists(st.tuples(texts, st.floats(0, 50))), st.floats(0, 1))
def test_nothing_that_vosk_says_is_believed_by_itself(
    text: str, others: list[tuple[str, float]], confidence: float
) -> None:
    said = heard(recording(text, *others, confidence=confidence))
    assert said.score <= HIGHEST_SCORE
    assert (said.words == ()) == (said.opinions[0].words == ())
