"""A "not" that noise has nearly swallowed is seen in the letters before the phrase."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.in_front import syllable_in_front

PHRASES = st.text("abcdefghijklmnopqrstuvwxyz ", min_size=1, max_size=20).filter(str.strip)


# What the reader wrote of a built-in voice at 10 dB in a rehearsal of the long task.
@pytest.mark.parametrize(
    ("free", "phrase"),
    [
        ("o batdun bracket tie", "bottom bracket tied"),
        ("not dor closed han slockhed", "door closed and locked"),
        ("outac j eyger in fitded", "actuator pin fitted"),
        ("out slide glie tarmed", "slide light on"),
        ("o charging delvi closed", "charging valve is closed"),
    ],
)
def test_a_not_that_whisper_left_out_stands_in_front(free: str, phrase: str) -> None:
    assert syllable_in_front(free, phrase)


@pytest.mark.parametrize(
    ("free", "phrase"),
    [
        ("stop bracket tipet", "top bracket tied"),
        ("flift lagtes falwer", "life dates valid"),
        ("lever on latch es lockedi aminutes", "lever armed latches locked"),
        ("", "go ahead"),
    ],
)
def test_a_slurred_beginning_is_none(free: str, phrase: str) -> None:
    assert not syllable_in_front(free, phrase)


@given(PHRASES)
def test_nothing_stands_in_front_of_the_phrase_itself(phrase: str) -> None:
    assert not syllable_in_front(phrase, phrase)


@given(PHRASES, st.sampled_from(["not", "do not", "is not"]))
def test_a_clear_not_stands_in_front_of_any_phrase(phrase: str, negation: str) -> None:
    assert syllable_in_front(f"{negation} {phrase}", phrase)


@given(st.text("abco ", max_size=12), st.text("abco", min_size=1, max_size=6))
def test_the_place_is_that_of_the_fewest_changes(free: str, phrase: str) -> None:
    """Against every part of the text, each by the distance of Levenshtein."""
    text = free.replace(" ", "")
    parts = [(begin, end) for begin in range(len(text) + 1) for end in range(begin, len(text) + 1)]
    cost = {part: levenshtein(text[slice(*part)], phrase) for part in parts}
    least = min(cost.values())
    last = max(begin for (begin, _), each in cost.items() if each == least)
    vowels = [at for at, letter in enumerate(text[:last]) if letter in "ao"]
    first = min(begin for (begin, _), each in cost.items() if each == least)
    if syllable_in_front(free, phrase):
        assert vowels
    elif last == first:
        assert not vowels


def levenshtein(one: str, other: str) -> int:
    row = list(range(len(other) + 1))
    for count, letter in enumerate(one, 1):
        above, row = row, [count]
        for end, written in enumerate(other, 1):
            row.append(min(above[end - 1] + (letter != written), above[end] + 1, row[-1] + 1))
    return row[-1]
