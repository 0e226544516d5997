"""What was heard is heard once, and what a changed phrase cannot touch is carried over."""

from dataclasses import replace
from datetime import timedelta
from math import inf
from pathlib import Path

import pytest

from handsfree.errors import Misuse
from handsfree.rehearse import cache as cache_module
from handsfree.rehearse.cache import Cache, carries_over
from handsfree.rehearse.pronunciations import pronunciations
from handsfree.words.heard import Heard, Opinion, Trouble
from handsfree.words.phrases import Confirmation, Negations, PhraseSet, PlainNumber, Standard
from handsfree.words.sounds import Phones
from handsfree.words.standard import StandardWord

SAID = "charging hose fitted"
OPINIONS = (Opinion("whisper", tuple(SAID.split()), -inf, inf, "Charging hose fitted."),)
HEARD = Heard(
    tuple(SAID.split()),
    0.97,
    (("charging", "valve", "open"),),
    OPINIONS,
    timedelta(0),
    timedelta(seconds=1.5),
    trouble=Trouble.MORE_SOUND,
)


def phrases(*fixed: str, critical: bool = False) -> PhraseSet:
    words = tuple(map(Confirmation, fixed))
    return PhraseSet((*words, Standard(StandardWord.AFFIRM), Negations(fixed)), critical)


BEFORE = phrases(SAID, "lamp is burning")


def test_what_was_kept_is_found_by_whoever_opens_the_folder_next(tmp_path: Path) -> None:
    first = Cache(tmp_path)
    first.keep("key", SAID, BEFORE, HEARD)
    first.close()
    kept = Cache(tmp_path).find("key", SAID, BEFORE)
    assert kept is not None
    assert (kept.heard, kept.carried) == (HEARD, False)


def test_another_sound_is_not_found(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    cache.keep("key", SAID, BEFORE, HEARD)
    assert cache.find("other", SAID, BEFORE) is None


def test_a_phrase_that_changed_and_sounds_unlike_what_was_said_carries_over(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    cache.keep("key", SAID, BEFORE, HEARD)
    kept = cache.find("key", SAID, phrases(SAID, "green light shows"))
    assert kept is not None
    assert kept.carried


def test_heard_anew_only_the_very_same_phrases_count(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    cache.keep("key", SAID, BEFORE, HEARD)
    assert cache.find("key", SAID, phrases(SAID, "green light shows"), anew=True) is None
    assert cache.find("key", SAID, BEFORE, anew=True) is not None


@pytest.mark.parametrize(
    "now",
    [
        phrases(SAID, "lamp is burning", "charging hose fixed"),  # it sounds like what was said
        phrases("lamp is burning"),  # what was heard can be said no more
        phrases(SAID, "lamp is burning", critical=True),
        PhraseSet((*BEFORE.phrases, PlainNumber())),
    ],
    ids=["alike", "gone", "critical", "a number"],
)
def test_what_could_be_heard_otherwise_now_is_heard_again(tmp_path: Path, now: PhraseSet) -> None:
    cache = Cache(tmp_path)
    cache.keep("key", SAID, BEFORE, HEARD)
    assert cache.find("key", SAID, now) is None


def test_a_phrase_that_was_heard_for_another_does_not_carry_over() -> None:
    taken = replace(HEARD, words=("lamp", "is", "burning"))
    before, now = frozenset({SAID, "lamp is burning"}), frozenset({SAID})
    assert carries_over(before, now, SAID, HEARD)
    assert not carries_over(before, now, SAID, taken)


def test_a_phrase_that_went_and_was_not_thought_of_leaves_what_was_heard_beyond_doubt() -> None:
    """ "Charging hose fixed" sounds like what was said, and yet was not even the second best."""
    alike = "charging hose fixed"
    before, now = frozenset({SAID, alike}), frozenset({SAID})
    assert carries_over(before, now, SAID, HEARD)
    thought_of = replace(HEARD, alternatives=(tuple(alike.split()),))
    assert not carries_over(before, now, SAID, thought_of)
    denied = replace(HEARD, alternatives=(("not", *alike.split()),))
    assert not carries_over(before, now, SAID, denied)
    assert not carries_over(now, before, SAID, HEARD)  # it came


def test_what_was_heard_in_doubt_or_otherwise_than_said_is_heard_again_without_the_phrase() -> None:
    """What was doubted beside a phrase may be believed without it, and be wrong."""
    before, now = frozenset({SAID, "charging hose fixed"}), frozenset({SAID})
    assert not carries_over(before, now, SAID, replace(HEARD, score=0.73))
    assert not carries_over(before, now, f"{SAID} in a minute", HEARD)
    assert not carries_over(before, now, SAID, replace(HEARD, words=(), score=0.0))


@pytest.mark.parametrize(
    ("said", "changed", "carried"),
    [
        ("coffee at four", "charging valve closed", True),
        ("charging hose fitted", "charging hose fixed", False),
        # It is in a longer phrase, or a longer phrase in it, or is a stretch that sounds like it.
        ("charging hose fitted in a minute", "charging hose fitted", False),
        ("hose fitted", "the charging hose fitted", False),
        ("we are charging those fitters now", "charging hose fitted", False),
        ("they say the valve closing here is slow", "valves close", False),
        ("valves close", "they say the valve closing here is slow", False),
        # A word in common is a sound in common, however far the rest is.
        ("charging hose fitted", "charging valve closed", False),
        # Few letters may be many phones: "x ray" is seven of them.
        ("x ray", "eggs rate", False),
        ("coffee at four", "zzgrmpf closed", False),
        ("zzgrmpf", "charging valve closed", False),
    ],
)
def test_it_carries_over_by_its_phones_and_what_is_unknown_never_does(
    monkeypatch: pytest.MonkeyPatch, said: str, changed: str, carried: bool
) -> None:
    known = pronunciations

    def without_unknown(words: frozenset[str]) -> dict[str, tuple[Phones, ...]]:
        return {word: ways for word, ways in known(words).items() if word != "zzgrmpf"}

    monkeypatch.setattr(cache_module, "pronunciations", without_unknown)
    heard = replace(HEARD, words=tuple(said.split()), alternatives=())
    assert carries_over(frozenset(), frozenset({changed}), said, heard) is carried


def test_what_was_heard_by_mistake_counts_by_its_sound_too() -> None:
    """Noise that was taken for a phrase would be taken for a nearer one, if there was one."""
    taken = replace(HEARD, words=("valve", "closed"), alternatives=())
    changed = frozenset({"valves close"})
    assert not carries_over(frozenset(), changed, "coffee at four", taken)
    assert carries_over(frozenset(), changed, "coffee at four", replace(taken, words=()))


def test_a_folder_that_cannot_be_written_is_told_with_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(Misuse, match=r"cannot be kept there.*Name another folder with --cache"):
        Cache(tmp_path / "file")


def test_how_long_a_sentence_takes_is_kept_too(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    cache.keep_seconds({"Step one.": 0.8})
    assert cache.seconds_of(["Step one.", "Step two."]) == {"Step one.": 0.8}
