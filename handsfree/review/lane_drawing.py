"""The lanes of the states as a drawing: a row for each step, a lane for each state. Millimetres.

A long task is drawn in blocks that each fit on a page, with the names of the states repeated.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from handsfree.review.lanes import Lane
from handsfree.review.sheet import Sheet, StepRow

WIDTH = 180.0  # A4 with margins of 15 mm
ROW = 5.4
NAMES = 46.0  # step number and id
_ROWS_PER_BLOCK = 36  # with head, start, end and a heading under the 259 mm of a page
_LANES_PER_BLOCK = 10
_HEAD_LINE = 3.1
_HEAD_FOOT = 2.2  # between the names of the states and the first row
_WIDEST_LANE = 27.0
_LETTER = 0.6  # width of a letter as a share of its size, a little more than most fonts need
_LARGEST, _SMALLEST = 2.7, 1.3


@dataclass(frozen=True, slots=True)
class Label:
    """A text on the drawing, centred at x."""

    x: float
    y: float
    text: str
    size: float


@dataclass(frozen=True, slots=True)
class Stretch:
    """A state that keeps its value: thick where it is the value that it must have at the end."""

    x: float
    top: float
    bottom: float
    at_end_value: bool


@dataclass(frozen=True, slots=True)
class Mark:
    """A value in a box on its lane: solid where it changes, dashed where a step confirms it."""

    label: Label
    width: float
    changes: bool


@dataclass(frozen=True, slots=True)
class RowName:
    """The number and the id of a step."""

    y: float
    number: str
    id: str
    size: float  # of the id


@dataclass(frozen=True, slots=True)
class Block:
    """One drawing, as high as `height`."""

    height: float
    described: str  # for a reader who does not see the drawing
    heads: tuple[Label, ...]
    rows: tuple[RowName, ...]
    stretches: tuple[Stretch, ...]
    marks: tuple[Mark, ...]


def draw(sheet: Sheet) -> tuple[Block, ...]:
    """All lanes of `sheet`, in blocks."""
    return tuple(
        _block(sheet, sheet.lanes[lane : lane + _LANES_PER_BLOCK], step)
        for lane in range(0, len(sheet.lanes), _LANES_PER_BLOCK)
        for step in range(0, len(sheet.steps), _ROWS_PER_BLOCK)
    )


def _block(sheet: Sheet, lanes: tuple[Lane, ...], skipped: int) -> Block:
    steps = sheet.steps[skipped : skipped + _ROWS_PER_BLOCK]
    is_last = skipped + len(steps) == len(sheet.steps)
    names = [("", "start" if skipped == 0 else f"after step {skipped}")]
    names += [(str(step.number), step.id) for step in steps]
    if is_last:
        names.append(("", "must end"))
    words = max(len(lane.called.split()) for lane in lanes)
    head = words * _HEAD_LINE + 2 * _HEAD_FOOT
    middles = [head + ROW * (row + 0.5) for row in range(len(names))]
    wide = min((WIDTH - NAMES) / len(lanes), _WIDEST_LANE)
    drawn = [(lane, NAMES + wide * (at + 0.5)) for at, lane in enumerate(lanes)]
    return Block(
        height=head + ROW * len(names),
        described=_described(lanes, steps),
        heads=tuple(each for lane, x in drawn for each in _head(lane.called, x, head, wide)),
        rows=tuple(
            RowName(y, number, name, _size(name, NAMES - 9))
            for y, (number, name) in zip(middles, names, strict=True)
        ),
        stretches=tuple(each for lane, x in drawn for each in _stretches(lane, x, steps, middles)),
        marks=tuple(each for lane, x in drawn for each in _marks(lane, x, wide, steps, middles)),
    )


def _head(called: str, x: float, height: float, wide: float) -> Iterator[Label]:
    """The name of a state, one word below the other; the last word lies nearest to the lane."""
    for up, word in enumerate(reversed(called.split())):
        yield Label(x, height - _HEAD_FOOT - up * _HEAD_LINE, word, _size(word, wide))


def _stretches(
    lane: Lane, x: float, steps: tuple[StepRow, ...], middles: list[float]
) -> Iterator[Stretch]:
    values = [lane.before(steps[0].number), *(lane.after[step.number - 1] for step in steps)]
    for value, (top, bottom) in zip(values, pairwise(middles), strict=False):
        yield Stretch(x, top, bottom, value in lane.ends)


def _marks(
    lane: Lane, x: float, wide: float, steps: tuple[StepRow, ...], middles: list[float]
) -> Iterator[Mark]:
    yield _mark(lane.before(steps[0].number), x, middles[0], wide, changes=True)
    for y, step in zip(middles[1:], steps, strict=False):
        if step.number in lane.set_at:
            value = lane.after[step.number - 1]
            yield _mark(value, x, y, wide, changes=lane.changes_at(step.number))
    if len(middles) > len(steps) + 1:
        yield _mark(lane.must_end, x, middles[-1], wide, changes=True)


def _mark(value: str, x: float, y: float, wide: float, *, changes: bool) -> Mark:
    size = _size(value, wide - 1.6)
    width = min(len(value) * size * _LETTER + 1.6, wide - 0.4)
    return Mark(Label(x, y, value, size), width, changes)


def _size(text: str, wide: float) -> float:
    return max(min(_LARGEST, wide / (len(text) * _LETTER)), _SMALLEST)


def _described(lanes: tuple[Lane, ...], steps: tuple[StepRow, ...]) -> str:
    return "; ".join(
        f"{lane.called}: {lane.before(steps[0].number)}"
        + "".join(
            f", step {step.number} {lane.after[step.number - 1]}"
            for step in steps
            if step.number in lane.set_at
        )
        + f", must end {lane.must_end}"
        for lane in lanes
    )
