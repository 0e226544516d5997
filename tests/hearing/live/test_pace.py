"""How long one person pauses, learnt within a run."""

from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.live.pace import Pace

_PAUSES = st.lists(st.integers(0, 200), max_size=120)


def learnt(*pauses: int) -> Pace:
    pace = Pace()
    for each in pauses:
        pace = pace.after(each)
    return pace


def test_nobody_in_particular_is_waited_for_as_usual() -> None:
    assert Pace().times == 1.0


def test_one_pause_of_any_length_changes_nothing() -> None:
    """The person has looked for the gauge once."""
    assert learnt(60).times == 1.0


def test_who_pauses_long_again_and_again_is_waited_for_longer() -> None:
    assert 1.0 < learnt(*[14] * 10).times < learnt(*[40] * 10).times == 1.5


def test_nobody_is_waited_for_shorter() -> None:
    """Whoever has spoken in one go so far may still have to think."""
    assert learnt(*[4] * 100).times == 1.0


def test_what_was_long_ago_is_forgotten() -> None:
    assert learnt(*[40] * 50, *[5] * 50).times <= 1.0


@given(_PAUSES)
def test_it_is_bounded_and_to_two_places(pauses: list[int]) -> None:
    times = learnt(*pauses).times
    assert 1.0 <= times <= 1.5
    assert times == round(times, 2)


@given(_PAUSES, st.integers(0, 200), st.integers(0, 200))
def test_a_longer_pause_never_makes_the_wait_shorter(
    pauses: list[int], one: int, other: int
) -> None:
    short, long = sorted((one, other))
    assert learnt(*pauses, short).times <= learnt(*pauses, long).times
