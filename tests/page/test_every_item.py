"""Each thing that a supervisor must not have to look for is among what needs eyes, with its place.

One test for each item of that list; `test_attention.py` has the bounds.
"""

from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from handsfree.page.attention import Attention, Weight
from handsfree.page.gathering import Page, gather
from handsfree.page.writing import page_of
from handsfree.record.entries import LoggedEntry, read_entries
from handsfree.record.summary import summarise
from handsfree.record.verify import verify
from handsfree.words.heard import Heard
from tests.engine.people_task import INSPECTED, TASK, TO_LOCK, TO_PART, TO_PRESSURE, TO_TORQUE
from tests.page.records import page_of_run
from tests.record.six_runs import RUNS, EveryMinute, Killed, hold
from tests.record.test_reviewing import give


def page_of_what_was_said(folder: Path, said: Iterable[str]) -> Page:
    with suppress(Killed):
        hold(folder, EveryMinute(said))
    return page_of(folder, TASK, verify(folder), read_entries(folder))


def items(page: Page, what: str) -> list[Attention]:
    return [each for each in page.attention if each.what == what]


def test_a_value_that_was_refused(tmp_path: Path) -> None:
    page = page_of_what_was_said(tmp_path / "run", (*TO_TORQUE, "niner", "one five"))
    [told] = items(page, "value refused")
    assert (told.weight, told.why) == (Weight.WRONG, "torque: 9 N.m, below minimum")
    assert told.who == "Tarn Osk (OA417), technician"
    assert told.clip is not None


def test_a_value_that_was_corrected(tmp_path: Path) -> None:
    said = (*TO_TORQUE, "one four", "correction one five")
    [told] = items(page_of_what_was_said(tmp_path / "run", said), "correction")
    assert told.why == "torque: the value was said anew, 15 N.m"


def test_a_tool_or_part_that_was_refused(tmp_path: Path) -> None:
    said = (*TO_PART, "kilo delta four eight", "second kilo delta four eight")
    [told] = items(page_of_what_was_said(tmp_path / "run", said), "number, date or choice refused")
    assert told.weight is Weight.DOUBTFUL
    assert told.why.startswith("part: KD-48") or told.why.startswith("part: KD48")


def test_a_read_back_that_differed(tmp_path: Path) -> None:
    said = (*TO_PRESSURE, "one five zero zero", "second one six zero zero")
    [told] = items(page_of_what_was_said(tmp_path / "run", said), "read back that differed")
    assert told.weight is Weight.WRONG


def test_an_inspection_that_was_rejected(tmp_path: Path) -> None:
    said = (*TO_LOCK, "lock tied", *INSPECTED[:2], "rejected", "the tie is loose")
    [told] = items(page_of_what_was_said(tmp_path / "run", said), "inspection rejected")
    assert (told.weight, told.why) == (Weight.WRONG, "lock: by OA633")


@pytest.mark.parametrize(
    ("run", "what"),
    [
        ("undone", "going back"),
        ("rework", "step done again"),
        ("deferral", "deferral"),
        ("deferral", "step that could not be done"),
        ("killed and resumed by another", "program killed"),
        ("killed and resumed by another", "resumption"),
    ],
)
def test_what_befell_the_run(run: str, what: str, tmp_path: Path) -> None:
    assert items(page_of_run(run, tmp_path / "run"), what)


def test_an_interruption_with_how_long_it_was_and_why(tmp_path: Path) -> None:
    said = (*TO_LOCK, "stand by", "the ties are used up", *("go ahead",) * 2)
    [told] = items(page_of_what_was_said(tmp_path / "run", said), "interruption")
    assert told.why.startswith("lock: for 0:02:00, stand by: “")


def changed(folder: Path, change: Callable[[LoggedEntry], LoggedEntry]) -> Page:
    """The page of a perfect run with each entry changed after the record was verified."""
    RUNS["perfect"](folder)
    entries = [change(each) for each in read_entries(folder)]
    return page_of(folder, TASK, verify(folder), entries)


def test_a_clock_that_was_set(tmp_path: Path) -> None:
    def set_forward(each: LoggedEntry) -> LoggedEntry:
        later = each.at + timedelta(hours=1) if each.seq >= 40 else each.at
        return replace(each, utc=later.isoformat(timespec="milliseconds"))

    [told] = items(changed(tmp_path / "run", set_forward), "step of the clock")
    assert (told.entry, told.weight) == (40, Weight.WRONG)
    assert "set forward by 1:00:00" in told.why


def test_a_replay_that_decides_otherwise(tmp_path: Path) -> None:
    said: list[int] = []

    def other_words(each: LoggedEntry) -> LoggedEntry:
        if each.kind == "say" and each.seq > 30 and not said:
            said.append(each.seq)
            return replace(each, fields={**each.fields, "text": "All is well."})
        return each

    page = changed(tmp_path / "run", other_words)
    [told] = items(page, "replay that differs")
    assert (told.entry, told.weight) == (said[0], Weight.WRONG)
    assert told.why == (
        "a replay decides otherwise in a decision; 'handsfree replay' shows both side by side"
    )


def test_a_step_that_was_confirmed_before_anything_can_have_been_done(tmp_path: Path) -> None:
    RUNS["perfect"](tmp_path / "run")
    spoken = timedelta(0)
    entries = []
    for each in read_entries(tmp_path / "run"):
        if each.kind == "spoken":
            spoken = each.offset
        if isinstance(said := each.value, Heard) and said.words == ("cover", "fitted"):
            at = spoken + timedelta(seconds=0.4)
            each.__dict__["value"] = replace(said, started=at, ended=at)
        entries.append(each)
    found = verify(tmp_path / "run")
    page = gather(TASK, entries, summarise(TASK, entries, found, "0" * 64))
    [told] = items(page, "fast confirmation")
    assert told.why == "cover: confirmed 0.4 s after the instruction was spoken"
    assert told.weight is Weight.DOUBTFUL


def test_a_reviewer_who_judged_their_own_work(tmp_path: Path) -> None:
    from handsfree.record.keys import Keys
    from tests.record.runs import KEYS

    RUNS["perfect"](tmp_path / "run")
    give(tmp_path / "run", keys=Keys("Ines Varga", KEYS.private))
    page = page_of(tmp_path / "run", TASK, verify(tmp_path / "run"), read_entries(tmp_path / "run"))
    [told] = items(page, "judge of their own work")
    assert told.weight is Weight.WRONG
    assert "Ines Varga accepted it" in told.why
    assert "inspector (OA633)" in told.why
