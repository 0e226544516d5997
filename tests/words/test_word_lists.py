"""The words that are listened for in every task are those of `word_lists.toml`, and no others."""

import tomllib
from collections.abc import Callable
from itertools import chain
from pathlib import Path

import pytest

from handsfree.words import everyday
from handsfree.words.alphabet import LETTER_WORDS, speak_characters
from handsfree.words.automaton import Automaton
from handsfree.words.meanings import Asked, Identified, Negated, Ordered, Spoke, Understood
from handsfree.words.number_words import DIGIT_WORDS
from handsfree.words.phrases import Identity, Negations, Order, Phrase, PhraseSet, Query, Standard
from handsfree.words.plain import INSPECTED, REJECTED, SECOND, PlainWord
from handsfree.words.questions import Question
from handsfree.words.standard import StandardWord
from handsfree.words.units import UNITS

LISTED = tomllib.loads(Path(__file__).with_name("word_lists.toml").read_text(encoding="utf-8"))
WHAT_IS = ("what is the", "what's the", "whats the", "what was the")


def wordings(automaton: Automaton) -> set[str]:
    """All that it accepts; it must have no loop."""
    found: set[str] = set()
    todo: list[tuple[int, tuple[str, ...]]] = [(0, ())]
    while todo:
        state, said = todo.pop()
        if said and state in automaton.finals:
            found.add(" ".join(said))
        todo.extend((arc.target, (*said, arc.word)) for arc in automaton.arcs[state])
    return found


@pytest.mark.parametrize(
    ("name", "words"), [("casual", everyday.CASUAL), ("takes_back", everyday.TAKES_BACK)]
)
def test_they_are_the_everyday_words(name: str, words: tuple[str, ...]) -> None:
    assert sorted(words) == sorted(LISTED[name])


@pytest.mark.parametrize(
    "automaton",
    [
        everyday.takes_back,
        everyday.lead_in,
        everyday.is_or_reads,
        everyday.hedge,
        everyday.hedge_behind,
        everyday.exactly,
    ],
    ids=lambda each: each.__name__,
)
def test_they_are_what_is_said_beside_a_value(automaton: Callable[[], Automaton]) -> None:
    assert wordings(automaton()) == set(LISTED[automaton.__name__])


def test_a_negation_stands_anywhere_in_a_phrase_and_once() -> None:
    said = wordings(everyday.negated(("pin fitted",)))
    places = ("{} pin fitted", "pin {} fitted", "pin fitted {}")
    assert said == {each.format(negation) for each in places for negation in LISTED["negation"]}


@pytest.mark.parametrize("negation", LISTED["negation"])
def test_a_phrase_with_a_negation_is_not_that_phrase(negation: str) -> None:
    parsed = PhraseSet((Negations(("pin fitted",)),)).parse(["pin", *negation.split(), "fitted"])
    assert parsed == Understood(Negated("pin fitted"))


def only(phrase: Phrase, said: str) -> object:
    parsed = PhraseSet((phrase,)).parse(said.split())
    return parsed.meaning if isinstance(parsed, Understood) else parsed


def test_every_standard_word_order_question_and_unit_is_listed() -> None:
    assert list(LISTED["standard"]) == [each.name for each in StandardWord]
    assert list(LISTED["order"]) == [each.name for each in PlainWord]
    asked = [each.name for each in Question if each is not Question.READING]
    assert list(LISTED["question"]) == asked
    assert list(LISTED["unit"]) == list(UNITS)


@pytest.mark.parametrize("word", StandardWord)
def test_a_standard_word_is_said_so(word: StandardWord) -> None:
    assert wordings(Standard(word).automaton) == set(LISTED["standard"][word.name])
    assert {only(Standard(word), each) for each in word.spellings} == {Spoke(word)}


@pytest.mark.parametrize("word", PlainWord)
def test_an_order_is_said_so(word: PlainWord) -> None:
    number = 1 if word.takes_number else None
    said = LISTED["order"][word.name]
    assert {only(Order(word), each) for each in said} == {Ordered(word, number)}
    assert sorted(word.spellings) == sorted(each.removesuffix(" one") for each in said)


@pytest.mark.parametrize("question", [each for each in Question if each is not Question.READING])
def test_a_question_is_asked_so(question: Question) -> None:
    said = LISTED["question"][question.name]
    ways = {
        each.replace(WHAT_IS[0], way, 1)
        for each in said
        for way in (WHAT_IS if each.startswith(WHAT_IS[0]) else WHAT_IS[:1])
    }
    assert wordings(Query(question).automaton) == ways
    assert {only(Query(question), each) for each in ways} == {Asked(question)}


@pytest.mark.parametrize("question", Question)
def test_a_question_can_be_asked_as_it_is_called(question: Question) -> None:
    asked = Query(question, ("torque",)) if question is Question.READING else Query(question)
    said = f"{question.value} torque" if question is Question.READING else question.value
    assert said in wordings(asked.automaton)


@pytest.mark.parametrize("symbol", UNITS)
def test_a_unit_is_said_so(symbol: str) -> None:
    assert list(UNITS[symbol].said) == LISTED["unit"][symbol]


def test_no_two_units_of_different_quantities_are_said_alike() -> None:
    """But for a difference of temperatures, which is said as a temperature is."""
    differences = {"delta_degC", "delta_degF"}
    said = list(chain.from_iterable(LISTED["unit"][each] for each in UNITS.keys() - differences))
    assert len(set(said)) == len(said)


def test_letters_and_figures_are_those_of_icao() -> None:
    assert {each: list(said) for each, said in LETTER_WORDS.items()} == LISTED["letter"]
    assert {each: list(said) for each, said in DIGIT_WORDS.items()} == LISTED["figure"]


def test_what_a_second_person_and_an_inspector_say() -> None:
    said = (SECOND, INSPECTED, REJECTED)
    assert said == (LISTED["second"], LISTED["inspected"], LISTED["rejected"])


@pytest.mark.parametrize(
    ("character", "said"), [*LISTED["letter"].items(), *LISTED["figure"].items()]
)
def test_a_character_is_heard_as_each_of_its_words(character: str, said: list[str]) -> None:
    assert {only(Identity(("part number",)), each) for each in said} == {Identified(character)}
    assert speak_characters(character) == ("niner" if character == "9" else said[0])
