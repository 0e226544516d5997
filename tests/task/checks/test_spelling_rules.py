"""Words that the dictionary lacks are said as the voice says them.

Held against the CMU Pronouncing Dictionary, on words that it has.
"""

import random
import statistics
import subprocess

import pytest

from handsfree.rehearse import pronunciations
from handsfree.rehearse.pronunciations import pronunciations as listed
from handsfree.rehearse.spelling_rules import by_spelling, phones_of
from handsfree.words.sounds import PHONES, nearest

# The trade's words, all of them in the dictionary.
TRADE = """actuator aileron bolt bracket bottle brake cable clamp connected cover disconnected door
    drained filter fitted fuel gauge harness hose hydraulic inflated installed latch lever locked
    loose mounted nut open panel pin pressure pump released removed rudder safe seal secured shut
    slide spoiler strut switch tightened tire torque unlocked valve wheel wrench""".split()  # noqa: SIM905 a list of words is read more easily as words


def test_the_voice_says_the_words_of_the_trade_as_the_dictionary_has_them() -> None:
    known, ruled = listed(frozenset(TRADE)), by_spelling(TRADE)
    assert ruled.keys() == set(TRADE)
    apart = [nearest((ruled[word],), known[word]) for word in TRADE]
    assert statistics.median(apart) <= 0.5
    assert sum(each <= 1.0 for each in apart) >= 0.9 * len(TRADE)


@pytest.mark.parametrize(
    ("word", "phones"),
    [
        ("chocks", "CH AA1 K S"),
        ("dismounted", "D IH0 S M AW1 N T IH0 D"),
        ("lockwire", "L AA1 K W AY0 ER0"),
    ],
)
def test_a_word_that_the_dictionary_lacks_has_phones(word: str, phones: str) -> None:
    assert listed(frozenset({word})) == {word: (tuple(phones.split()),)}


def test_every_sign_becomes_a_phone_that_is_known() -> None:
    words = random.Random(7).sample(
        [f"{a}{b}{c}" for a in "bdfst" for b in "aeiou" for c in "lmnt"], 60
    )
    assert all(set(said) <= set(PHONES) for said in by_spelling(words).values())


def test_a_sign_that_is_not_known_gives_no_phones() -> None:
    assert phones_of("ʘ_ˈɑː_k") == ()


def test_what_is_no_word_is_not_asked_about() -> None:
    assert by_spelling(["a-b", "k9", "é"]) == {}


def test_without_the_library_the_words_stay_unknown(monkeypatch: pytest.MonkeyPatch) -> None:
    def no_library(*_: object, **__: object) -> None:
        raise subprocess.CalledProcessError(1, "espeak")

    monkeypatch.setattr(subprocess, "run", no_library)
    pronunciations.pronunciations.cache_clear()
    pronunciations._SPELLED.clear()
    assert listed(frozenset({"chocks", "pin"})).keys() == {"pin"}
    pronunciations.pronunciations.cache_clear()
    pronunciations._SPELLED.clear()
