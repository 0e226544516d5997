"""What Whisper bends into a phrase is seen by how well other words fit the letters."""

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from demo.people import voice_line
from demo.script import Line
from handsfree.hearing.ctc import Floats
from handsfree.hearing.meant import would_do_something_else
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.other_words import with_and_without
from handsfree.hearing.reader import Read, Reader
from handsfree.task.roles import Headset
from handsfree.words.everyday import NEGATIONS, negated
from handsfree.words.phrases import Confirmation, PhraseSet, Standard
from handsfree.words.standard import StandardWord
from tests.hearing.test_listeners import sound

CHARACTERS: tuple[str, ...] = tuple(
    json.loads(read_catalogue().entry("reader").verified_files()["characters.json"])
)
PHRASES = (
    *("lever armed latches locked", "door closed and locked", "charging hose removed"),
    *("actuator pin removed", "go ahead", "left side", "affirm", "inspected"),
)


@pytest.fixture(scope="module")
def reader() -> Reader:
    return Reader("reader", read_catalogue().entry("reader").verified_files())


def written(text: str, sure: float = 0.9) -> Read:
    """As if the reader had written just this, a letter a frame and a blank behind each."""
    rest = (1 - sure) / (len(CHARACTERS) - 1)
    log_probs: Floats = np.full((2 * len(text), len(CHARACTERS)), np.log(rest))
    for at, letter in enumerate(text):
        log_probs[2 * at, CHARACTERS.index(letter)] = np.log(sure)
        log_probs[2 * at + 1, 0] = np.log(sure)
    return Read(np.zeros((1, 1500, 384), np.float32), log_probs)


@given(st.lists(st.sampled_from(("pin", "fitted", "not", "valve")), min_size=1, max_size=4))
def test_there_is_one_more_not_at_each_place_or_one_less(words: list[str]) -> None:
    others = set(with_and_without(tuple(words)))
    for each in NEGATIONS:
        for at in range(len(words) + 1):
            assert (*words[:at], each, *words[at:]) in others
    for at, each in enumerate(words):
        if each == "not" and len(words) > 1:
            assert (*words[:at], *words[at + 1 :]) in others
    assert tuple(words) not in others


@pytest.mark.parametrize("phrase", PHRASES)
def test_every_other_phrase_with_a_not_is_one_that_is_listened_for(phrase: str) -> None:
    """But for what is left of a "not", which is no word."""
    automaton = negated((phrase,))
    found = [
        each for each in with_and_without(tuple(phrase.split())) if automaton.readings_of(each)
    ]
    assert len(found) >= len(NEGATIONS) * (len(phrase.split()) + 1)


@pytest.mark.parametrize("phrase", PHRASES)
def test_a_phrase_that_is_written_as_it_was_said_has_no_not(reader: Reader, phrase: str) -> None:
    assert not reader.may_be_other_words(written(phrase), tuple(phrase.split()))


@pytest.mark.parametrize("negation", ["no", "not", "don't", "isn't", "nt"])
@pytest.mark.parametrize("phrase", PHRASES)
def test_a_not_at_any_place_is_seen(reader: Reader, phrase: str, negation: str) -> None:
    words = phrase.split()
    for at in range(len(words) + 1):
        said = " ".join((*words[:at], negation, *words[at:]))
        assert reader.may_be_other_words(written(said), tuple(words)), said


def test_a_not_that_the_phrase_has_and_nobody_said_is_missed(reader: Reader) -> None:
    words = ("power", "not", "on")
    assert reader.may_be_other_words(written("power on"), words)
    assert not reader.may_be_other_words(written("power not on"), words)


@pytest.mark.parametrize("said", ["looks good", "okay", "got it", "all done", "thank you"])
@pytest.mark.parametrize("phrase", ["left side", "affirm", "go ahead", "door held open"])
def test_what_is_said_by_habit_is_no_phrase(reader: Reader, said: str, phrase: str) -> None:
    assert reader.may_be_other_words(written(said), tuple(phrase.split()))


@pytest.mark.parametrize(
    ("said", "is_doubted"), [("rigt side", True), ("lift side", False), ("left side", False)]
)
def test_another_phrase_of_the_moment_that_fits_as_well_is_seen(
    reader: Reader, said: str, is_doubted: bool
) -> None:
    """Of a "right side" Whisper surely wrote "Left side.", and the reader "lrigt side"."""
    words, others = ("left", "side"), (("right", "side"), ("stand", "by"))
    assert reader.may_be_other_words(written(said), words, others) is is_doubted
    assert not reader.may_be_other_words(written(said), words)


def test_only_what_means_something_else_and_moves_something_is_held_against_a_phrase() -> None:
    affirm = tuple(map(Standard, (StandardWord.AFFIRM, StandardWord.STAND_BY)))
    phrases = PhraseSet((Confirmation("left side"), Confirmation("right side"), *affirm))
    others = {("right", "side"), ("affirm",), ("affirmative",)}
    assert set(would_do_something_else(("left", "side"), phrases)) == others
    assert set(would_do_something_else(("affirm",), phrases)) == {
        ("left", "side"),
        ("right", "side"),
    }


def test_letters_as_noise_leaves_them_fit_a_habit_and_need_not_be_held_against_it(
    reader: Reader,
) -> None:
    """Such letters are nearer to "checked" than to "rear left door", of which they were written."""
    read, words = written("re ctorqed"), ("rear", "left", "door")
    assert reader.may_be_other_words(read, words)
    assert not reader.may_be_other_words(read, words, or_a_habit=False)


@pytest.mark.parametrize("said", ["looks good", "okay", "all done"])
def test_what_is_said_by_habit_is_itself(reader: Reader, said: str) -> None:
    """So it is answered with what can be said, though another habit may fit as well."""
    assert not reader.may_be_other_words(written(said), tuple(said.split()))


# What Whisper heard surely as the phrase without it, said by a voice at 10 dB and better.
@pytest.mark.parametrize(
    ("said", "phrase"),
    [
        ("lever armed latches no locked", "lever armed latches locked"),
        ("door closed and no locked", "door closed and locked"),
        ("charging don't hose removed", "charging hose removed"),
        ("rear no left door", "rear left door"),
        ("actuator don't pin removed", "actuator pin removed"),
    ],
)
def test_a_not_is_seen_in_the_sound_and_none_where_nobody_said_it(
    reader: Reader, said: str, phrase: str
) -> None:
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    for words, is_negated in ((said, True), (phrase, False)):
        read = reader.read(sound(voice_line(Line(Headset.TECHNICIAN, words))))
        assert read is not None
        assert reader.may_be_other_words(read, tuple(phrase.split())) is is_negated
