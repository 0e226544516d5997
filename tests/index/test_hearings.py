"""What came of each utterance, and what was meant by one that had to be said again."""

from pathlib import Path

import pytest

from handsfree.index.hearings import asked_again_at
from handsfree.index.tables import SaidRow
from tests.index.shelf import noted
from tests.record.runs import hold
from tests.record.six_runs import RUNS


def said(folder: Path) -> list[SaidRow]:
    return [each for each in noted(folder) if isinstance(each, SaidRow)]


def test_a_value_that_was_said_anew_is_taken_back(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("pin fitted", "nine", "correction one five", "affirm"))
    assert [(each.words, each.meant, each.taken_back) for each in said(tmp_path / "run")] == [
        ("pin fitted", "pin fitted", False),
        ("nine", "(a reading)", True),
        ("correction one five", "(a reading)", False),
        ("affirm", "affirm", False),
    ]


def test_a_value_that_was_taken_back_is_told_and_the_word_that_did_it_is_not(
    tmp_path: Path,
) -> None:
    hold(tmp_path / "run", ("pin fitted", "one five", "negative", "one six", "affirm"))
    assert [each.words for each in said(tmp_path / "run") if each.taken_back] == ["one five"]


@pytest.mark.slow
def test_what_was_meant_is_what_was_acted_on_in_the_end(ten: Path) -> None:
    """In these runs one hearing in seventeen is doubted, and what was meant is said at once."""
    utterances = said(ten / "run-1")
    doubted = [at for at, each in enumerate(utterances) if each.asked_again]
    assert doubted
    for at in doubted:
        assert utterances[at].refused == "doubtful hearing"
        later = next(each for each in utterances[at + 1 :] if not each.asked_again)
        assert utterances[at].meant == later.meant


def test_what_was_said_while_standing_by_was_not_misheard(tmp_path: Path) -> None:
    hold(tmp_path / "run", ("stand by", "pin fitted", "pin fitted", "go ahead", "pin fitted"))
    refused = [each for each in said(tmp_path / "run") if each.refused]
    assert refused
    assert {each.refused for each in refused} == {"said while standing by"}
    assert not any(each.asked_again for each in refused)


def test_each_utterance_has_who_said_it_and_at_which_step(tmp_path: Path) -> None:
    RUNS["perfect"](tmp_path / "run")
    people = {(each.step, each.person) for each in said(tmp_path / "run")}
    assert ("pressure", "Sefa Lund (OA522)") in people
    assert ("lock", "Ines Varga (OA633)") in people


def test_asking_again_is_counted_between_two_entries(ten: Path) -> None:
    rows = said(ten / "run-1")
    first, *_, last = [each.entry for each in rows if each.asked_again]
    assert asked_again_at(rows, 0, last) == sum(each.asked_again for each in rows)
    assert asked_again_at(rows, first, first) == 1
    assert asked_again_at(rows, 0, first - 1) == 0
