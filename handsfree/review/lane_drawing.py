"""The lanes of the states as a drawing: a row for each step, a lane for each state. Millimetres.

A long task is drawn in blocks that each fit on a page, with the names of the states repeated.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from handsfree.review.lanes import Lane
from handsfree.review.sheet import Sheet, StepRow

WIDTH = 180.0  # A4 with margins of 15 mm
ROW = 5.4
HEAD = 12.0
NAMES = 46.0  # step number and id
_ROWS_PER_BLOCK = 36  # with head, start, end and a heading under the 259 mm of a page
_LANES_PER_BLOCK = 10
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
    rows = [RowName(_middle(0), "", "start" if skipped == 0 else f"after step {skipped}")]
    rows += [RowName(_middle(at), str(step.number), step.id) for at, step in enumerate(steps, 1)]
    if is_last:
        rows.append(RowName(_middle(len(steps) + 1), "", "must end"))
    wide = min((WIDTH - NAMES) / len(lanes), _WIDEST_LANE)
    centres = [NAMES + wide * (at + 0.5) for at in range(len(lanes))]
    drawn = list(zip(lanes, centres, strict=True))
    return Block(
        height=HEAD + ROW * len(rows),
        described=_described(lanes, steps),
        heads=tuple(head for lane, x in drawn for head in _head(lane.called, x, wide)),
        rows=tuple(rows),
        stretches=tuple(each for lane, x in drawn for each in _stretches(lane, x, steps, is_last)),
        marks=tuple(each for lane, x in drawn for each in _marks(lane, x, wide, steps, is_last)),
    )


def _middle(row: int) -> float:
    return HEAD + ROW * (row + 0.5)


def _head(called: str, x: float, wide: float) -> Iterator[Label]:
    """The name of a state, one word below the other; the last word lies nearest to the lane."""
    words = called.split()[-3:]
    for up, word in enumerate(reversed(words)):
        yield Label(x, HEAD - 2.2 - up * 3.1, word, _size(word, wide))


def _stretches(
    lane: Lane, x: float, steps: tuple[StepRow, ...], is_last: bool
) -> Iterator[Stretch]:
    values = [lane.before(steps[0].number), *(lane.after[step.number - 1] for step in steps)]
    if is_last:
        values.append(lane.last)
    for row in range(len(values) - 1):
        yield Stretch(x, _middle(row), _middle(row + 1), values[row] in lane.ends)


def _marks(
    lane: Lane, x: float, wide: float, steps: tuple[StepRow, ...], is_last: bool
) -> Iterator[Mark]:
    yield _mark(lane.before(steps[0].number), x, wide, 0, changes=True)
    for row, step in enumerate(steps, 1):
        if step.number in lane.set_at:
            value = lane.after[step.number - 1]
            yield _mark(value, x, wide, row, changes=lane.changes_at(step.number))
    if is_last:
        yield _mark(lane.must_end, x, wide, len(steps) + 1, changes=True)


def _mark(value: str, x: float, wide: float, row: int, *, changes: bool) -> Mark:
    size = _size(value, wide - 1.6)
    width = min(len(value) * size * _LETTER + 1.6, wide - 0.4)
    return Mark(Label(x, _middle(row), value, size), width, changes)


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
