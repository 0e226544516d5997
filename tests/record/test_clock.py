"""Clocks that jump: the order and the durations of a record do not depend on them."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from handsfree.record import Record
from handsfree.record.entries import read_utc
from handsfree.record.labour import labour
from handsfree.record.marks import NotHeard
from handsfree.record.verify import verify
from tests.record.runs import START, Clock, NoSync, entries_of, go_on, hold

JUMPS: dict[str, Callable[[datetime], datetime]] = {
    "set back an hour": lambda now: now - timedelta(hours=1),
    "jumped forward a day": lambda now: now + timedelta(days=1),
    "in another zone": lambda now: now.astimezone(timezone(timedelta(hours=-7))),
    "as it was": lambda now: now,
}


def run_with(folder: Path, jump: Callable[[datetime], datetime]) -> None:
    clock = Clock()

    def utc() -> datetime:
        return jump(clock.now) if clock.runs > timedelta(seconds=12) else clock.now

    hold(folder, utc_now=utc, since_start=clock.since_start)


@pytest.mark.parametrize("jump", JUMPS)
def test_order_and_durations_stay_right_when_the_clock_is(tmp_path: Path, jump: str) -> None:
    run_with(tmp_path / "run", JUMPS[jump])
    run_with(tmp_path / "right", JUMPS["as it was"])
    entries = entries_of(tmp_path / "run")
    assert [each.offset for each in entries] == sorted(each.offset for each in entries)
    assert labour(entries) == labour(entries_of(tmp_path / "right"))
    assert all(each.utc.endswith("+00:00") for each in entries)
    assert verify(tmp_path / "run").problems == ()


def test_a_clock_that_was_set_back_is_noted_with_its_entry(tmp_path: Path) -> None:
    run_with(tmp_path / "run", JUMPS["set back an hour"])
    entries = entries_of(tmp_path / "run")
    first = next(entry.seq for entry in entries if entry.at < START + timedelta(seconds=1))
    later = [entry.seq for entry in entries if entry.seq and entry.at < entries[entry.seq - 1].at]
    assert first in (0, *later)
    assert [note.split(":")[0] for note in verify(tmp_path / "run").notes] == [
        f"entry {seq}" for seq in later
    ]


def test_a_zone_does_not_move_the_time(tmp_path: Path) -> None:
    run_with(tmp_path / "run", JUMPS["in another zone"])
    run_with(tmp_path / "right", JUMPS["as it was"])
    assert [each.utc for each in entries_of(tmp_path / "run")] == [
        each.utc for each in entries_of(tmp_path / "right")
    ]


def test_a_clock_that_went_back_between_two_programs_does_not_turn_the_order(
    tmp_path: Path,
) -> None:
    hold(tmp_path / "run", ("pin fitted",))
    go_on(tmp_path / "run", clock=Clock(START - timedelta(days=1)))
    entries = entries_of(tmp_path / "run")
    assert [each.offset for each in entries] == sorted(each.offset for each in entries)
    assert verify(tmp_path / "run").problems == ()


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        # RFC 3339, 5.8: a leap second inserted at the end of 1990, in UTC and in Pacific time.
        ("1990-12-31T23:59:60Z", datetime(1990, 12, 31, 23, 59, 59, 999_000, tzinfo=UTC)),
        ("1990-12-31T15:59:60-08:00", datetime(1990, 12, 31, 23, 59, 59, 999_000, tzinfo=UTC)),
        ("2031-05-04T12:00:00.250+00:00", datetime(2031, 5, 4, 12, 0, 0, 250_000, tzinfo=UTC)),
        ("1996-12-19T16:39:57-08:00", datetime(1996, 12, 20, 0, 39, 57, tzinfo=UTC)),
        ("1990-12-31T23:59:60.500+00:00", datetime(1990, 12, 31, 23, 59, 59, 999_000, tzinfo=UTC)),
    ],
)
def test_a_time_is_read_also_in_a_leap_second(text: str, utc: datetime) -> None:
    assert read_utc(text) == utc


def test_a_text_that_is_no_time_is_refused() -> None:
    with pytest.raises(ValueError, match="Invalid isoformat"):
        read_utc("yesterday")


def test_a_clock_without_a_zone_is_a_mistake_of_ours(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="must know its zone"):
        Record(
            tmp_path / "run",
            "",
            lambda: datetime(2031, 5, 4),
            lambda: timedelta(0),
            files=NoSync(),
        ).append(NotHeard("a", "b"))
