"""The quick search for phrases that sound alike finds what weighing every two of them finds."""

from itertools import combinations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from handsfree.words import neighbours
from handsfree.words.neighbours import Neighbourhood, Ways
from handsfree.words.sounds import PHONES, sound_alike
from tests.how_many import examples

# Few phones, so that many phrases are near each other, and all, so that no phone is forgotten.
_SOME = st.sampled_from(("P", "T", "F", "N", "IH0", "IH1", "AY1", "ER0"))
_PHRASE = st.lists(_SOME | st.sampled_from(PHONES), max_size=9).map(tuple)
_WAYS = st.lists(_PHRASE, min_size=1, max_size=3).map(tuple)


@settings(max_examples=examples(300))
@example([(("AH0",) * 7,), ((),)])  # seven weak vowels more: just too many
@example([(("AH0",) * 6,), ((),)])
@example([(("T",) * 5,), (("T", "P", "K", "CH", "S"),)])  # each said once more is near the first
@given(st.lists(_WAYS, max_size=8))
def test_every_pair_that_sounds_alike_is_found_and_no_other(phrases: list[Ways]) -> None:
    weighed = [
        (one, other)
        for one, other in combinations(range(len(phrases)), 2)
        if sound_alike(phrases[one], phrases[other])
    ]
    assert list(Neighbourhood(phrases).pairs()) == weighed


@settings(max_examples=examples(300))
@given(st.lists(_WAYS, max_size=6), _WAYS)
def test_one_more_phrase_is_held_against_all(phrases: list[Ways], more: Ways) -> None:
    weighed = [at for at, each in enumerate(phrases) if sound_alike(more, each)]
    assert Neighbourhood(phrases).like(more) == weighed


@given(st.lists(_WAYS, max_size=8), st.integers(0, 6))
def test_pairs_are_the_same_however_many_are_weighed_at_once(
    phrases: list[Ways], at_once: int
) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(neighbours, "_AT_ONCE", at_once)
        found = list(Neighbourhood(phrases).pairs())
    assert found == list(Neighbourhood(phrases).pairs())


def test_the_search_tells_how_far_it_has_come() -> None:
    told: list[int] = []
    list(Neighbourhood([(("P", "IH1", "N"),)] * 3).pairs(told.append))
    assert told == [3]


def test_where_many_are_weighed_it_is_told_phrase_by_phrase() -> None:
    """All ways of the second phrase are weighed before it is told of."""
    told: list[int] = []
    pin: Ways = (("P", "IH1", "N"),)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(neighbours, "_AT_ONCE", 3)
        list(Neighbourhood([pin, pin * 2, pin, pin]).pairs(told.append))
    assert told == [1, 2, 4]
