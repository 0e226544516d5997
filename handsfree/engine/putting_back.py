"""Which states are put back by hand, in which order, where a run goes back to an earlier step.

Only the net change of each state is put back. What was undone and done again on the way, such as a
fitting that was loosened and tightened in a rework, is left alone: to repeat it by hand would
destroy what was proved, for nothing.

The order is safe: after each change no never rule can hold. Where no order of the net changes is
so, the run's own way is taken backwards, without its loops. Each combination on it was one that the
run has been in, and `check` has proved that no never rule can hold in any of these.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from handsfree.task.conditions import UNKNOWN, may_hold
from handsfree.task.states import NeverRule

Combination = tuple[tuple[str, str], ...]
"""The value of each state, in the order of the task."""
Change = tuple[str, str]
"""A state, and the value that it is given."""

# Beyond this the search for an order could take long; the run's own way needs none.
_MOST_TO_ORDER = 12


def put_back(rules: Iterable[NeverRule], came_by: Sequence[Combination]) -> tuple[Change, ...]:
    """The changes to make by hand, in this order.

    `came_by` holds the combinations that the run has been in, from the one to go back to until
    the present one.
    """
    then, now = dict(came_by[0]), dict(came_by[-1])
    net = [(name, then[name]) for name in _last_changed_first(came_by) if now[name] != then[name]]
    # Nothing is done by hand to a state that counts as unknown again.
    by_hand = [each for each in net if each[1] != UNKNOWN]
    order = _safe_order(tuple(rules), now, by_hand) if len(by_hand) <= _MOST_TO_ORDER else None
    if order is None:
        return _backwards(_without_loops(came_by[::-1]))
    return (*order, *(each for each in net if each[1] == UNKNOWN))


def _last_changed_first(came_by: Sequence[Combination]) -> tuple[str, ...]:
    changed = {
        name: at for at, each in enumerate(came_by[1:]) for name, _ in _changes(came_by[at], each)
    }
    return tuple(sorted(changed, key=lambda name: -changed[name]))


def _safe_order(
    rules: tuple[NeverRule, ...], now: Mapping[str, str], left: list[Change]
) -> tuple[Change, ...] | None:
    """`left` in an order in which no rule can hold after any change; as given where that is one."""
    tried: set[frozenset[Change]] = set()

    def from_here(at: Mapping[str, str], left: list[Change]) -> tuple[Change, ...] | None:
        if not left:
            return ()
        if frozenset(left) in tried:
            return None
        tried.add(frozenset(left))
        for change in left:
            after = {**at, change[0]: change[1]}
            if any(_can_hold(rule, after) for rule in rules):
                continue
            rest = from_here(after, [each for each in left if each != change])
            if rest is not None:
                return (change, *rest)
        return None

    return from_here(now, left)


def _can_hold(rule: NeverRule, states: Mapping[str, str]) -> bool:
    return all(may_hold(condition, states[name]) for name, condition in rule.when.items())


def _without_loops(way: Sequence[Combination]) -> list[Combination]:
    """A way without what lies between two times that it comes to one combination."""
    found: list[Combination] = []
    for each in way:
        if each in found:
            del found[found.index(each) + 1 :]
        else:
            found.append(each)
    return found


def _backwards(way: Sequence[Combination]) -> tuple[Change, ...]:
    return tuple(change for before, after in pairwise(way) for change in _changes(before, after))


def _changes(before: Combination, after: Combination) -> tuple[Change, ...]:
    return tuple(new for old, new in zip(before, after, strict=True) if old != new)
