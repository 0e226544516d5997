"""What is put back by hand is the net change, and nothing dangerous holds on the way.

That a proof is not destroyed by loosening what was tightened is common practice, no source.
"""

from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.putting_back import Combination, put_back
from handsfree.task.conditions import UNKNOWN, may_hold
from handsfree.task.states import NeverRule

VALUES = ("in", "out", "half")
NAMES = ("pin", "valve", "door", "lever")


def combination(**values: str) -> Combination:
    return tuple(values.items())


def rule(**when: str) -> NeverRule:
    return NeverRule(when=dict(when), because="it can move")


def test_what_was_undone_and_done_again_is_left_alone() -> None:
    tight, loose = combination(fitting="tight", cap="off"), combination(fitting="loose", cap="off")
    on = combination(fitting="tight", cap="on")
    assert put_back((), (tight, loose, tight, on)) == (("cap", "off"),)


def test_what_was_changed_last_is_put_back_first() -> None:
    start = combination(pin="in", door="in")
    assert put_back(
        (), (start, combination(pin="out", door="in"), combination(pin="out", door="out"))
    ) == (
        ("door", "in"),
        ("pin", "in"),
    )


def test_another_order_is_taken_where_that_one_is_dangerous() -> None:
    """The door was shut last; but shut without its pin it could move."""
    start = combination(pin="in", door="in", hold="on")
    held = combination(pin="in", door="in", hold="off")
    way = (start, held, combination(pin="out", door="in", hold="off"))
    danger = rule(pin="out", hold="on")
    assert put_back((danger,), way) == (("pin", "in"), ("hold", "on"))
    late = (*way, combination(pin="out", door="in", hold="half"))
    assert put_back((danger,), late) == (("pin", "in"), ("hold", "on"))


def turned(number: int) -> list[Combination]:
    """So many levers are put down one by one, each by way of its middle."""
    way = [tuple((f"lever-{at}", "up") for at in range(number))]
    for at in range(number):
        for value in ("middle", "down"):
            now = dict(way[-1]) | {f"lever-{at}": value}
            way.append(tuple(now.items()))
    return way


def test_of_twelve_changes_each_is_made_once_and_of_more_the_way_is_taken_backwards() -> None:
    """Beyond twelve the search for an order could take long; the run's own way needs none."""
    net = tuple((f"lever-{at}", "up") for at in reversed(range(12)))
    assert put_back((), turned(12)) == net
    assert put_back((), turned(13))[:3] == (
        ("lever-12", "middle"),
        ("lever-12", "up"),
        ("lever-11", "middle"),
    )
    assert len(put_back((), turned(13))) == 26


def test_where_no_order_is_safe_the_way_of_the_run_is_taken_backwards_without_its_loops() -> None:
    """Both must change, neither may first: only the way round by the third state is safe."""
    start = combination(pin="in", door="in", bar="off")
    barred = combination(pin="in", door="in", bar="on")
    half = combination(pin="out", door="in", bar="on")
    both = combination(pin="out", door="out", bar="on")
    end = combination(pin="out", door="out", bar="off")
    rules = (rule(pin="out", door="in", bar="off"), rule(pin="in", door="out"))
    way = (start, barred, half, both, half, both, end)
    assert put_back(rules, way) == (
        ("bar", "on"),
        ("door", "in"),
        ("pin", "in"),
        ("bar", "off"),
    )


def test_nothing_is_done_by_hand_to_what_counts_as_unknown_again() -> None:
    start = combination(pin=UNKNOWN, door="in")
    way = (start, combination(pin="in", door="in"), combination(pin="in", door="out"))
    assert put_back((), way) == (("door", "in"), ("pin", UNKNOWN))


rules = st.lists(
    st.dictionaries(st.sampled_from(NAMES), st.sampled_from(VALUES), min_size=2, max_size=3).map(
        lambda when: rule(**when)
    ),
    max_size=4,
)


def is_safe(rules: list[NeverRule], states: dict[str, str]) -> bool:
    return not any(
        all(may_hold(each, states[name]) for name, each in one.when.items()) for one in rules
    )


@given(rules=rules, data=st.data())
def test_any_way_is_put_back_through_safe_combinations_only(
    rules: list[NeverRule], data: st.DataObject
) -> None:
    at = dict.fromkeys(NAMES, "in")
    way = [at]
    for _ in range(data.draw(st.integers(0, 12))):
        after = {**at, data.draw(st.sampled_from(NAMES)): data.draw(st.sampled_from(VALUES))}
        if is_safe(rules, after):
            at = after
            way.append(at)
    if not is_safe(rules, way[0]):
        return
    now = dict(way[-1])
    for name, value in put_back(rules, [tuple(each.items()) for each in way]):
        assert now[name] != value
        now[name] = value
        assert is_safe(rules, now)
    assert now == way[0]


@given(st.lists(st.sampled_from(VALUES), min_size=1, max_size=9))
def test_one_state_is_put_back_at_most_once(values: list[str]) -> None:
    changes = put_back((), [combination(pin=each) for each in values])
    assert changes == ((("pin", values[0]),) if values[0] != values[-1] else ())
