"""The lanes of the states as a drawing: a row for each step, a lane for each state. Millimetres.

A long task is drawn in blocks that each fit on a page, with the names of the states repeated.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

from handsfree.review.lanes import Lane
from handsfree.review.sheet import Sheet, StepRow

WIDTH = 180.0  # A4 with margins of 15 mm
ROW = 5.0
NAMES = 46.0  # step number and id
_ROWS_PER_BLOCK = 39  # with head, start, end and a heading under the 259 mm of a page
_LANES_PER_BLOCK = 10
_HEAD_LINE = 3.1
_HEAD_FOOT = 2.2  # between the names of the states and the first row
_WIDEST_LANE = 27.0
_LETTER = 0.6  # width of a letter as a share of its size, a little more than most fonts need
_LARGEST, _SMALLEST = 2.7, 1.3
_BOX_EDGES = 1.6  # of a box, left and right of its text together


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


class Box(Enum):
    """What a box around a value says."""

    SOLID = "the step changes the value"
    DASHED = "the step sets the value that it was already"
    NONE = "the step sets nothing, but the row above is not all that it is begun from"


@dataclass(frozen=True, slots=True)
class LaneValue:
    """A value on its lane; more than one, joined by "or", where it depends on the way."""

    label: Label
    width: float
    box: Box


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
    marks: tuple[LaneValue, ...]


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
    rows = [lane.above(steps[0].number), *(lane.after[step.number - 1] for step in steps)]
    joined = [lane.joins_above(step.number) for step in steps] + [True]
    for values, is_joined, (top, bottom) in zip(rows, joined, pairwise(middles), strict=False):
        if is_joined:
            yield Stretch(x, top, bottom, set(values) <= set(lane.ends))


def _marks(
    lane: Lane, x: float, wide: float, steps: tuple[StepRow, ...], middles: list[float]
) -> Iterator[LaneValue]:
    yield _mark(_fitting(lane.above(steps[0].number), wide), x, middles[0], wide, Box.SOLID)
    for y, step in zip(middles[1:], steps, strict=False):
        values = lane.after[step.number - 1]
        if (box := _box(lane, step.number)) is not None:
            yield _mark(_fitting(values, wide), x, y, wide, box)
    if len(middles) > len(steps) + 1:
        yield _mark(lane.must_end, x, middles[-1], wide, Box.SOLID)


def _box(lane: Lane, number: int) -> Box | None:
    """How the value after a step stands on the lane; None where the line says it."""
    if lane.changes_at(number):
        return Box.SOLID
    if lane.confirms_at(number):
        return Box.DASHED
    return Box.NONE if lane.after[number - 1] != lane.above(number) else None


def _fitting(values: tuple[str, ...], wide: float) -> str:
    """The values, or only how many they are where there is no room for several."""
    text = _either(values)
    if len(values) > 1 and len(text) * _SMALLEST * _LETTER > wide - _BOX_EDGES:
        return f"{len(values)} values"
    return text


def _either(values: tuple[str, ...]) -> str:
    return " or ".join(values) or "not reached"


def _mark(value: str, x: float, y: float, wide: float, box: Box) -> LaneValue:
    size = _size(value, wide - _BOX_EDGES)
    width = min(len(value) * size * _LETTER + _BOX_EDGES, wide - 0.4)
    return LaneValue(Label(x, y, value, size), width, box)


def _size(text: str, wide: float) -> float:
    return max(min(_LARGEST, wide / (len(text) * _LETTER)), _SMALLEST)


def _described(lanes: tuple[Lane, ...], steps: tuple[StepRow, ...]) -> str:
    return "; ".join(
        f"{lane.called}: {_either(lane.above(steps[0].number))}"
        + "".join(
            f", step {step.number} {_either(lane.after[step.number - 1])}"
            for step in steps
            if _box(lane, step.number) is not None
        )
        + f", must end {lane.must_end}"
        for lane in lanes
    )
