"""The CTC search, against an enumeration of every path of small problems."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.ctc import (
    BLANK,
    Floats,
    free_score,
    likeliest_path,
    likely_wordings,
    score_of,
    without_silence,
)
from handsfree.hearing.spelling import spell
from handsfree.words.automaton import choice, many, spoken, word
from handsfree.words.language import language_of
from tests.words.accepted import accepts

CHARACTERS = ("", " ", "a", "b")
# Words that begin alike, that repeat a letter, and sentences of any length.
LANGUAGE = language_of([many(choice(word("a"), word("ab"), word("aa"))), spoken("b b")])
GRAPH = spell(LANGUAGE, CHARACTERS)


def collapse(path: tuple[int, ...]) -> str:
    """The text of a path: repeats are one, then blanks are dropped."""
    return "".join(CHARACTERS[symbol] for symbol, _ in itertools.groupby(path))


def enumerated(log_probs: Floats) -> tuple[dict[str, float], dict[str, float]]:
    """Of each sentence of the language: the probability of all its paths, and of its best one."""
    total: dict[str, float] = {}
    best: dict[str, float] = {}
    for path in itertools.product(range(len(CHARACTERS)), repeat=len(log_probs)):
        text = collapse(path)
        if accepts(LANGUAGE, text.split(" ")):
            score = sum(log_probs[at, symbol] for at, symbol in enumerate(path))
            total[text] = total.get(text, 0.0) + math.exp(score)
            best[text] = max(best.get(text, -math.inf), score)
    return total, best


def log_probs_of(seed: int, frames: int) -> Floats:
    drawn = np.random.default_rng(seed).normal(scale=2.0, size=(frames, len(CHARACTERS)))
    scores: Floats = drawn - np.log(np.exp(drawn).sum(axis=1, keepdims=True))
    return scores


PROBLEMS = st.builds(log_probs_of, st.integers(0, 10_000), st.integers(1, 6))


@given(PROBLEMS)
def test_the_likeliest_path_is_the_best_of_every_path(log_probs: Floats) -> None:
    _, best = enumerated(log_probs)
    found = likeliest_path(log_probs, GRAPH)
    assert found is not None
    assert found.log_probability == pytest.approx(max(best.values()))
    assert best[" ".join(found.words)] == pytest.approx(found.log_probability)


@given(PROBLEMS)
def test_each_wording_has_the_score_of_all_its_paths(log_probs: Floats) -> None:
    total, _ = enumerated(log_probs)
    for text, probability in total.items():
        words = tuple(text.split())
        assert score_of(words, log_probs, CHARACTERS) == pytest.approx(math.log(probability))


@given(PROBLEMS)
def test_the_search_finds_every_wording_within_its_beam(log_probs: Floats) -> None:
    total, _ = enumerated(log_probs)
    best = math.log(max(total.values()))
    found = {
        " ".join(each.words): each.log_probability for each in likely_wordings(log_probs, GRAPH)
    }
    for text, probability in total.items():
        if math.log(probability) > best - 4:
            assert found[text] == pytest.approx(math.log(probability), abs=0.01)


def test_a_repeated_letter_needs_a_silence_between() -> None:
    """One frame of "a" is never "aa"; "a", blank, "a" is."""

    def sure(*symbols: int) -> Floats:
        log_probs = np.full((len(symbols), len(CHARACTERS)), -20.0)
        for at, symbol in enumerate(symbols):
            log_probs[at, symbol] = 0.0
        return log_probs

    a = CHARACTERS.index("a")
    found = [likeliest_path(sure(*path), GRAPH) for path in ((a, a, a), (a, BLANK, a))]
    assert [each.words for each in found if each] == [("a",), ("aa",)]


def test_the_free_score_is_that_of_the_best_frames() -> None:
    log_probs = log_probs_of(3, 5)
    assert free_score(log_probs) == pytest.approx(sum(max(frame) for frame in log_probs))


def test_a_word_that_cannot_be_spelled_is_refused() -> None:
    with pytest.raises(ValueError, match="'x' is not one of the characters"):
        spell(language_of([word("ax")]), CHARACTERS)


def test_silence_is_passed_by_all_wordings_alike() -> None:
    """Of each run of surely silent frames one is left, also at both ends."""
    silent = np.full(len(CHARACTERS), -40.0)
    silent[0] = 0.0
    spoken = log_probs_of(7, 4)
    sound = np.stack([silent, silent, *spoken[:2], silent, silent, silent, *spoken[2:], silent])
    shorter = without_silence(sound)
    assert len(shorter) == 1 + 2 + 1 + 2 + 1
    for words in (("ab",), ("ab", "b"), ("b",)):
        before, after = (score_of(words, each, CHARACTERS) for each in (sound, shorter))
        assert after == pytest.approx(before)


def test_sound_without_silence_stays_as_it_is() -> None:
    spoken = log_probs_of(8, 5)
    assert without_silence(spoken).tolist() == spoken.tolist()
