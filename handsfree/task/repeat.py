"""A step that is written once and done for each thing in a list, or in two lists.

The step is copied, once for each item in the order given, before anything else looks at the file:
whatever comes after knows only single steps. Of two lists every pair is made, the second list for
each item of the first. Each copy keeps the places of the one that was written, so that an error
still points into the file.
"""

import math
import re
from itertools import product

from handsfree.task.problems import TaskFileError
from handsfree.task.source import Path, Source, Value

MOST_STEPS = 5_000
"""More than any task that one shift can do; a bound on what a short file can grow to."""

MOST_LISTS = 2
"""Such as side and bolt. Nobody keeps count of a step that is done for three things at once."""

_MARK = re.compile(r"<([a-z][a-z0-9-]*)>")
# Where a text names something in the file, the item is written as an id: with hyphens.
_ID_KEYED = frozenset({"needs", "sets", "applies", "counts_out", "counts_in"})
_ID_VALUED = frozenset({"go", "since", "tool", "drop_from"})


def unroll(source: Source) -> Source:
    """`source` with every repeated step written out; raises TaskFileError for far too many."""
    root = source.value
    if not isinstance(root, dict) or not isinstance(steps := root.get("steps"), list):
        return source
    places = {path: place for path, place in source.places.items() if path[:1] != ("steps",)}
    places[("steps",)] = source.place(("steps",))
    unrolled = Source(source.name, None, places)
    lists = [_lists(step) for step in steps]
    copies = (math.prod(map(len, each.values())) for each in lists)
    if sum(max(each, 1) for each in copies) > MOST_STEPS:
        what = f"the task has more than {MOST_STEPS:,} steps"
        problem = source.problem(("steps",), what, "Split it into several tasks")
        raise TaskFileError(source.name, [problem])
    first: dict[str, str] = {}  # of a repeated step, by the id as it is written
    last: dict[str, str] = {}
    written: list[Value] = []
    for at, step in enumerate(steps):
        for items in product(*lists[at].values()):
            at_hand = dict(zip(lists[at], items, strict=True))
            copy = _Copy(source, unrolled, at_hand)
            made = copy.of(step, ("steps", at), ("steps", len(written)))
            written.append(made)
            if not at_hand or not isinstance(made, dict):
                continue
            made["each"] = {name: [item] for name, item in at_hand.items()}
            if isinstance(as_written := made.get("id"), str):
                made["id"] = of_item = "-".join((as_written, *map(_as_id, items)))
                first.setdefault(as_written, of_item)
                last[as_written] = of_item
    for each in written:
        _lead_to_copies(each, first, last)
    unrolled.value = {**root, "steps": written}
    return unrolled


def marks_left(text: str) -> tuple[str, ...]:
    """The marks in `text`, such as "<bolt>", that stand for no item of a list."""
    return tuple(mark.group(0) for mark in _MARK.finditer(text))


def _lists(step: Value) -> dict[str, list[str]]:
    """The items that a step goes through, by name; none where one is written wrong, too."""
    each = step.get("each") if isinstance(step, dict) else None
    if not isinstance(each, dict) or len(each) > MOST_LISTS:
        return {}
    lists = {
        name: [item for item in items if isinstance(item, str)]
        for name, items in each.items()
        if isinstance(items, list)
    }
    return lists if lists == each and all(lists.values()) else {}


def _as_id(item: str) -> str:
    return item.replace(" ", "-")


class _Copy:
    """Copies one step for one item, or for a pair of them."""

    def __init__(self, source: Source, into: Source, at_hand: dict[str, str]) -> None:
        self._source, self._into = source, into
        self._at_hand = {f"<{name}>": item for name, item in at_hand.items()}

    def of(self, value: Value, old: Path, new: Path) -> Value:
        """A copy of `value`, which stands at `old` in the source and will stand at `new`.

        The item takes the place of its mark, and an error at `new` points to where `old` is.
        """
        if old in self._source.places:
            self._into.places[new] = self._source.places[old]
        if isinstance(value, dict):
            as_id = old[-1] in _ID_KEYED
            return {
                (put := self._put(key, as_id)): self.of(each, (*old, key), (*new, put))
                for key, each in value.items()
            }
        if isinstance(value, list):
            return [self.of(each, (*old, at), (*new, at)) for at, each in enumerate(value)]
        names_a_step = old[-1] in _ID_VALUED or not {"then", "of", "uses", "over"}.isdisjoint(old)
        return self._put(value, names_a_step) if isinstance(value, str) else value

    def _put(self, text: str, as_id: bool) -> str:
        for mark, item in self._at_hand.items():
            text = text.replace(mark, _as_id(item) if as_id else item)
        return text


def _lead_to_copies(step: Value, first: dict[str, str], last: dict[str, str]) -> None:
    """A jump to a repeated step leads to its first copy; a wait counts from its last."""
    if not isinstance(step, dict):
        return
    then = step.get("then")
    if isinstance(then, str):
        step["then"] = first.get(then, then)
    exits = [step.get("deferral"), *(then.values() if isinstance(then, dict) else ())]
    for each in exits:
        if isinstance(each, dict) and isinstance(go := each.get("go"), str):
            each["go"] = first.get(go, go)
    if isinstance(then, dict):
        for outcome, go in then.items():
            if isinstance(go, str):
                then[outcome] = first.get(go, go)
    wait = step.get("wait")
    if isinstance(wait, dict) and isinstance(since := wait.get("since"), str):
        wait["since"] = last.get(since, since)
