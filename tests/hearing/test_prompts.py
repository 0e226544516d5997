"""What Whisper is told was said just before."""

from handsfree.hearing.prompts import (
    before_free_text,
    before_words,
    is_sentence,
    sentence,
    told,
)
from handsfree.words.alphabet import SPOKEN_LETTERS
from handsfree.words.phrases import BUILT_IN, Confirmation, PhraseSet, Standard
from handsfree.words.phrases.values import Identity
from handsfree.words.standard import StandardWord
from tests.benchmarks.vocabulary import vocabulary

SERIAL = PhraseSet((Identity(("serial number",)), Standard(StandardWord.SAY_AGAIN)))
PINS = PhraseSet((Confirmation("pin fitted"), Standard(StandardWord.HOW_DO_YOU_READ)))


def test_where_letters_may_come_each_is_shown_once() -> None:
    for shown in (before_words(SERIAL.vocabulary), before_free_text(SERIAL)):
        words = shown.lower().replace(",", "").replace(".", "").split()
        assert {each: words.count(each) for each in SPOKEN_LETTERS} == dict.fromkeys(
            SPOKEN_LETTERS, 1
        )


def test_where_no_letter_may_come_none_is_shown() -> None:
    number = BUILT_IN["number"]
    for shown in (before_words(number.vocabulary), before_free_text(number)):
        assert SPOKEN_LETTERS.isdisjoint(shown.lower().replace(",", " ").split())


def test_a_value_without_letters_is_asked_about_without_them() -> None:
    assert before_words(frozenset(("four", "one"))) != before_words(frozenset(("alfa", "one")))


def test_whisper_goes_on_in_words_or_in_figures() -> None:
    assert not any(each.isdigit() for each in before_words(SERIAL.vocabulary))
    assert before_words(SERIAL.vocabulary).startswith("Alfa one two, Bravo three three, ")
    assert "Alfa 1 2. Bravo 3 3. " in before_free_text(SERIAL)


def test_whisper_is_not_shown_what_it_is_measured_with() -> None:
    measured = [each.words for each in vocabulary() if each.kind == "letter"]
    assert len(measured) == len(SPOKEN_LETTERS)
    for words in measured:
        assert words not in before_words(SERIAL.vocabulary).lower()


def test_fixed_phrases_are_told_as_sentences_and_the_standard_words_last() -> None:
    assert told(PINS) == "Pin fitted. How do you read?"
    assert before_free_text(PINS).startswith("Pin fitted. How do you read? ")


def test_a_question_is_written_with_its_mark() -> None:
    assert sentence(("what", "is", "the", "limit")) == "What is the limit?"
    assert sentence(("stand", "by")) == "Stand by."


def test_what_has_a_number_is_no_sentence() -> None:
    assert is_sentence(("go", "back"))
    assert not is_sentence(("back", "to", "step", "four"))
