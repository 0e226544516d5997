"""Who was there in which role, and how the work went from one person to another."""

from contextlib import suppress
from datetime import datetime
from itertools import pairwise
from pathlib import Path

import pytest

from handsfree.page.presence import Change, There, presence
from handsfree.record.entries import read_entries
from handsfree.task.roles import Role
from tests.engine.people_task import ADA, SEFA, TO_LOCK
from tests.page.records import page_of_run
from tests.record.six_runs import START, EveryMinute, Killed, hold

TARN_TO_ADA = ("hand over", "go ahead", ADA, "affirm", SEFA, "affirm", *("affirm",) * 3)


def local(at: datetime) -> datetime:
    return at.astimezone(START.tzinfo)


def held(folder: Path, *said: str) -> tuple[tuple[There, ...], tuple[Change, ...]]:
    with suppress(Killed):
        hold(folder, EveryMinute((*TO_LOCK, *said)))
    return presence(read_entries(folder), local)


def test_a_hand_over_tells_from_whom_to_whom(tmp_path: Path) -> None:
    _, [change] = held(tmp_path / "run", *TARN_TO_ADA)
    assert change.told == "handed over by Tarn Osk (OA417); taken up by Ada Quill (OA855)"
    assert change.end > change.begin


def test_a_hand_over_that_nobody_took_up_says_so(tmp_path: Path) -> None:
    _, [change] = held(tmp_path / "run", "hand over")
    assert change.told == (
        "handed over by Tarn Osk (OA417); nobody is on the record as having taken it up"
    )


def test_from_a_hand_over_on_nobody_has_the_role_until_somebody_says_who_they_are(
    tmp_path: Path,
) -> None:
    there, [change] = held(tmp_path / "run", *TARN_TO_ADA)
    technician = [each for each in there if each.role is Role.TECHNICIAN]
    assert [each.who for each in technician] == ["Tarn Osk (OA417)", "", "Ada Quill (OA855)"]
    assert (technician[1].begin, technician[1].end) == (change.begin, change.end)
    assert all(one.end == other.begin for one, other in pairwise(technician))


def test_a_run_that_was_killed_tells_how_long_no_program_ran_and_who_went_on(
    tmp_path: Path,
) -> None:
    page = page_of_run("killed and resumed by another", tmp_path / "run")
    [change] = page.changes
    assert change.led_to_it.startswith("no program ran for ")
    assert change.to == "Ada Quill (OA855)"
    [lane] = [each for each in page.timeline.lanes if each.kind == "change"]
    assert [span.text for span in lane.spans] == [change.told]


@pytest.mark.parametrize(
    ("role", "who"),
    [("technician", "Tarn Osk (OA417)"), ("second person", "Sefa Lund (OA522)")],
)
def test_each_role_has_a_lane_of_who_had_it(tmp_path: Path, role: str, who: str) -> None:
    page = page_of_run("perfect", tmp_path / "run")
    lanes = {each.name: each for each in page.timeline.lanes if each.kind == "presence"}
    assert [span.text for span in lanes[f"{role} there"].spans] == [who]
    assert page.changes == ()


def test_a_run_of_nobody_who_is_named_has_no_such_lanes() -> None:
    assert presence((), local) == ((), ())
