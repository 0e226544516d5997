"""The combinators, by what the automata they build accept and emit."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from handsfree.words.automaton import (
    Automaton,
    choice,
    many,
    optional,
    resumed,
    sequence,
    spoken,
    word,
)

A, B = word("a", "1"), word("b", "2")


def marks(automaton: Automaton, text: str) -> set[str]:
    return {"".join(each) for each in automaton.readings_of(text.split())}


def test_a_sequence_takes_its_parts_in_order() -> None:
    both = sequence(A, B)
    assert marks(both, "a b") == {"12"}
    assert marks(both, "b a") == set()
    assert marks(both, "a") == set()


def test_a_choice_takes_any_part() -> None:
    assert marks(choice(A, B), "b") == {"2"}
    assert marks(choice(A, B), "a b") == set()


def test_an_optional_part_may_be_left_out_anywhere() -> None:
    automaton = sequence(optional(A), B, optional(A))
    assert [marks(automaton, text) for text in ("b", "a b", "b a", "a b a")] == [
        {"2"},
        {"12"},
        {"21"},
        {"121"},
    ]


def test_many_repeats_and_needs_one() -> None:
    assert marks(many(choice(A, B)), "a b b a") == {"1221"}
    assert marks(many(A), "") == set()


def test_nothing_is_no_phrase_and_no_sequence() -> None:
    with pytest.raises(ValueError, match=r"^a phrase has at least one word$"):
        spoken(" ")
    with pytest.raises(ValueError, match=r"^a sequence has at least one part$"):
        sequence()


def test_two_paths_with_the_same_words_both_count() -> None:
    assert marks(choice(word("a", "1"), word("a", "2")), "a") == {"1", "2"}


def test_the_marks_of_a_phrase_come_with_its_last_word() -> None:
    assert spoken("safety pin in", "x").readings_of(["safety", "pin", "in"]) == {("x",)}


def test_the_vocabulary_holds_every_word_that_can_be_said() -> None:
    assert sequence(optional(A), spoken("stand by")).vocabulary == {"a", "stand", "by"}


@given(st.lists(st.sampled_from("abcd"), max_size=9))
@example(["a", "c", "c", "a"])
@example(["a", "d", "c", "c", "a", "b"])
def test_resumed_accepts_what_its_long_form_accepts(words: list[str]) -> None:
    part = sequence(A, optional(B))
    by = choice(word("c", "3"), spoken("d c", "4"))
    long = sequence(part, optional(many(sequence(by, optional(part)))))
    assert resumed(part, by).readings_of(words) == long.readings_of(words)
