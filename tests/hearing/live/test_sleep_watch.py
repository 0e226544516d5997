"""Sleep is seen on clocks that stop, and on clocks that do not."""

from datetime import timedelta

from handsfree.hearing.live.sleep_watch import SleepWatch
from tests.live.fakes import Clock

MINUTE = timedelta(minutes=1)


def watched() -> tuple[Clock, SleepWatch]:
    clock = Clock()
    return clock, SleepWatch(clock.utc_now, clock.since_start)


def test_a_monotonic_clock_that_stops_in_sleep_falls_behind_the_time_of_day() -> None:
    """CLOCK_MONOTONIC "does not count time that the system is suspended" (clock_gettime(2))."""
    clock, watch = watched()
    clock.sleep(MINUTE)
    assert watch.slept() == MINUTE
    assert watch.slept() is None


def test_a_clock_that_does_not_stop_leaves_a_gap() -> None:
    clock, watch = watched()
    clock.run += MINUTE
    assert watch.slept() == MINUTE


def test_a_long_instruction_is_no_sleep_but_sleep_in_it_is() -> None:
    clock, watch = watched()
    clock.run += MINUTE
    assert watch.slept(busy=True) is None
    clock.run += MINUTE
    clock.sleep(MINUTE)
    assert watch.slept(busy=True) == MINUTE


def test_a_small_correction_of_the_clock_is_no_sleep() -> None:
    clock, watch = watched()
    clock.sleep(timedelta(seconds=2))
    assert watch.slept() is None


def test_a_clock_that_is_set_back_is_no_sleep() -> None:
    clock, watch = watched()
    clock.sleep(-MINUTE)
    assert watch.slept() is None
