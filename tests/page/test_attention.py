"""What needs eyes is found, and the worst of it comes first. The bounds are common practice."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from handsfree.engine.entries import ReadingTaken
from handsfree.page.attention import Weight, is_close, weight_of
from handsfree.page.gathering import Page, gather
from handsfree.page.writing import page_of
from handsfree.record.entries import LoggedEntry, read_entries
from handsfree.record.mishaps import Kind
from handsfree.record.verify import verify
from handsfree.task.limits.forms import Verdict
from handsfree.words.heard import Heard
from tests.engine.people_task import TASK
from tests.page.records import page_of_run
from tests.record.six_runs import RUNS


def whats(page: Page) -> list[str]:
    return [each.what for each in page.attention]


def test_a_perfect_run_has_nothing_that_needs_eyes_but_its_fast_read_backs(tmp_path: Path) -> None:
    """Each of these people speaks a minute after the other: so none is fast either."""
    assert whats(page_of_run("perfect", tmp_path / "run")) == []


@pytest.mark.parametrize(
    ("name", "worst"),
    [
        ("deferral", "step that could not be done"),
        ("rework", "read back that differed"),
        ("killed and resumed by another", "program killed"),
    ],
)
def test_the_worst_comes_first(name: str, worst: str, tmp_path: Path) -> None:
    page = page_of_run(name, tmp_path / "run")
    assert page.attention[0].what == worst
    weights = [each.weight for each in page.attention]
    assert weights == sorted(weights)


def test_each_kind_of_mishap_has_its_weight() -> None:
    assert {kind for kind in Kind if weight_of(kind) is Weight.NOTED} == {
        Kind.DOUBTFUL,
        Kind.IGNORED,
        Kind.UNHEARD,
        Kind.INTERRUPTION,
    }


def test_a_deferral_a_step_done_again_and_what_was_undone_are_told(tmp_path: Path) -> None:
    assert "deferral" in whats(page_of_run("deferral", tmp_path / "deferral"))
    assert "step done again" in whats(page_of_run("rework", tmp_path / "rework"))
    assert "going back" in whats(page_of_run("undone", tmp_path / "undone"))


def test_each_has_its_person_and_its_sound(tmp_path: Path) -> None:
    page = page_of_run("rework", tmp_path / "run")
    differed = next(each for each in page.attention if each.what == "read back that differed")
    assert differed.who == "Sefa Lund (OA522), second person"
    assert differed.clip is not None


@pytest.mark.parametrize(
    ("value", "low", "high", "close"),
    [
        ("15", "10", "20", False),
        ("11", "10", "20", True),  # one step of the scale
        ("20", "10", "20", True),
        ("12", "10", "20", False),
        ("500", "0", "1000", False),
        ("20", "0", "1000", True),  # 2 % of the width
        ("21", "0", "1000", False),
        ("11", "10", None, True),
        ("6", "6", "6", False),  # a count has one right value
    ],
)
def test_a_value_is_close_to_a_limit_within_a_step_or_two_percent(
    value: str, low: str | None, high: str | None, close: bool, tmp_path: Path
) -> None:
    torque = next(
        each
        for each in page_of_run("perfect", tmp_path / "run").summary.passes
        if each.step == "torque"
    )
    taken = ReadingTaken(
        "torque", Decimal(value), "N.m", value, Verdict.INSIDE, low, high, corrects=False
    )
    assert is_close(TASK, torque, taken) is close


def changed(folder: Path, change: Callable[[Heard, Heard | None], Heard]) -> Page:
    """The page of a perfect run in which each utterance is changed, knowing the one before."""
    RUNS["perfect"](folder)
    page = page_of(folder, TASK, verify(folder), read_entries(folder))
    before: Heard | None = None
    entries: list[LoggedEntry] = []
    for each in read_entries(folder):
        if isinstance(heard := each.value, Heard):
            before = change(heard, before)
            each.__dict__["value"] = before  # as it is decoded once
        entries.append(each)
    return gather(TASK, entries, page.summary)


def test_a_hearing_that_was_only_just_believed_is_told_with_its_score(tmp_path: Path) -> None:
    def mumbled(heard: Heard, _before: Heard | None) -> Heard:
        return replace(heard, score=0.85) if heard.words == ("pin", "fitted") else heard

    page = changed(tmp_path / "run", mumbled)
    assert [(each.what, each.why) for each in page.attention] == [
        ("only just believed", "'pin fitted' was acted on with a score of 0.85")
    ]


def test_a_word_that_put_nothing_on_the_record_is_not_told_however_it_was_heard(
    tmp_path: Path,
) -> None:
    def asked(heard: Heard, _before: Heard | None) -> Heard:
        return (
            replace(heard, words=("say", "again"), score=0.3) if "oscar" in heard.words else heard
        )

    page = changed(tmp_path / "run", asked)
    assert [each.what for each in page.attention] == []


def test_a_second_reading_that_comes_at_once_is_told(tmp_path: Path) -> None:
    """Nobody finds a gauge, reads it and speaks within a second: it was an echo."""

    def echoes(heard: Heard, before: Heard | None) -> Heard:
        if heard.words[:1] == ("second",) and before is not None:
            at = before.ended + timedelta(seconds=1)
            return replace(heard, started=at, ended=at)
        return heard

    page = changed(tmp_path / "run", echoes)
    assert [each.why for each in page.attention if each.what == "fast read back"] == [
        "pressure: the second reading began 1.0 s after the first",
        "part: the second reading began 1.0 s after the first",
    ]
