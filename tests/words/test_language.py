"""The minimal automaton accepts just what the phrases accept."""

from hypothesis import given
from hypothesis import strategies as st

from handsfree.words.automaton import choice, many, optional, sequence, word
from handsfree.words.language import language_of
from handsfree.words.meanings import NotUnderstood
from handsfree.words.phrases import BUILT_IN, Confirmation, PhraseSet, Reading, Standard
from handsfree.words.standard import StandardWord
from tests.words.accepted import accepts

PHRASES = PhraseSet(
    (
        Reading(("pressure",), "psi"),
        Confirmation("safety pin fitted"),
        Confirmation("safety pin removed"),
        *(Standard(each) for each in StandardWord),
    )
)
LANGUAGE = language_of(phrase.automaton for phrase in PHRASES.phrases)


@given(st.lists(st.sampled_from(sorted(PHRASES.vocabulary)), max_size=8))
def test_it_accepts_what_can_be_parsed_and_nothing_else(words: list[str]) -> None:
    assert accepts(LANGUAGE, words) == (not isinstance(PHRASES.parse(words), NotUnderstood))


def test_numbers_are_accepted_as_they_are_parsed() -> None:
    language = language_of(phrase.automaton for phrase in BUILT_IN["number"].phrases)
    assert accepts(language, ["one", "three", "thousand", "five", "hundred"])
    assert not accepts(language, ["thousand", "five"])
    assert not accepts(language, [])


def test_what_may_be_left_out_altogether_is_accepted_unsaid() -> None:
    language = language_of([optional(sequence(word("a"), word("b")))])
    assert [accepts(language, each) for each in ([], ["a"], ["a", "b"], ["b"])] == [
        *(True, False, True, False)
    ]


def test_states_that_cannot_be_told_apart_are_one() -> None:
    """(a|b)* ending in b: two states, by hand."""
    a, b = word("a"), word("b")
    language = language_of([sequence(many(choice(a, b)), b)])
    assert len(language_of([many(choice(a, b))]).moves) == 2
    assert len(language.moves) == 3
