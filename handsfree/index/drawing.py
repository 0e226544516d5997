"""Where things lie in the pictures: boxes of step times, and readings over time.

Places are in units of a picture's own width or height. What is drawn is also told in words beside
it, so a picture is never the only way to know something.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import ceil, floor, log10

from handsfree.index.runs import Course, Point, Spread

BOX_WIDTH = 400
COURSE_WIDTH, COURSE_HEIGHT = 900, 220
_LEFT, _RIGHT, _TOP, _BOTTOM = 70, 20, 12, 26  # room for what is written at the edges
_MOST_BEYOND = 1.5  # times the longest whisker: what took longer is drawn at the edge


@dataclass(frozen=True, slots=True)
class FarOut:
    """A run beyond the whiskers."""

    x: float
    beyond: bool  # it took longer than the picture is wide
    seconds: float
    record: str
    name: str


@dataclass(frozen=True, slots=True)
class Box:
    """The box plot of one step."""

    least: float
    low: float
    middle: float
    high: float
    most: float
    far_out: tuple[FarOut, ...]


@dataclass(frozen=True, slots=True)
class Boxes:
    """Box plots over one scale."""

    boxes: tuple[Box, ...]
    ticks: tuple[tuple[float, float], ...]  # seconds, and where


@dataclass(frozen=True, slots=True)
class Mark:
    """One value in the picture of its course."""

    x: float
    y: float
    lowest_y: float | None
    highest_y: float | None
    point: Point


@dataclass(frozen=True, slots=True)
class CourseDrawn:
    """A reading over time."""

    course: Course
    marks: tuple[Mark, ...]
    ticks: tuple[tuple[str, float], ...]  # what is written on the left, and where


def boxes(spreads: Sequence[Spread]) -> Boxes:
    """All steps over one scale of time."""
    whisker = max((each.most for each in spreads), default=0.0)
    longest = max((each.longest for each in spreads), default=0.0)
    width = max(min(longest, _MOST_BEYOND * whisker), 1.0)

    def place(seconds: float) -> float:
        return round(min(seconds / width, 1.0) * BOX_WIDTH, 1)

    drawn = tuple(
        Box(
            place(each.least),
            place(each.low),
            place(each.middle),
            place(each.high),
            place(each.most),
            tuple(
                FarOut(place(seconds), seconds > width, seconds, record, name)
                for seconds, record, name in each.far_out
            ),
        )
        for each in spreads
    )
    step = _round_step(width / 4)
    ticks = tuple((at * step, place(at * step)) for at in range(floor(width / step) + 1))
    return Boxes(drawn, ticks)


def course(of: Course) -> CourseDrawn:
    """One reading over time, with the limits of each moment."""
    times = [datetime.fromisoformat(each.utc).timestamp() for each in of.points]
    heights = [
        height
        for each in of.points
        for height in (each.drawn, each.lowest_drawn, each.highest_drawn)
        if height is not None
    ]
    first, last = min(times, default=0.0), max(times, default=0.0)
    low, high = min(heights, default=0.0), max(heights, default=0.0)
    room = (high - low) * 0.05 or abs(high) * 0.05 or 1.0
    low, high = low - room, high + room

    def across(time: float) -> float:
        share = 0.5 if last == first else (time - first) / (last - first)
        return round(_LEFT + share * (COURSE_WIDTH - _LEFT - _RIGHT), 1)

    def down(height: float | None) -> float | None:
        if height is None:
            return None
        share = (height - low) / (high - low)
        return round(COURSE_HEIGHT - _BOTTOM - share * (COURSE_HEIGHT - _TOP - _BOTTOM), 1)

    marks = tuple(
        Mark(
            across(time),
            down(each.drawn) or 0.0,
            down(each.lowest_drawn),
            down(each.highest_drawn),
            each,
        )
        for time, each in zip(times, of.points, strict=True)
    )
    ticks = tuple((f"{tick:g}", down(tick) or 0.0) for tick in _ticks(low, high))
    return CourseDrawn(of, marks, ticks)


def _ticks(low: float, high: float) -> Iterator[float]:
    step = _round_step((high - low) / 4)
    yield from (at * step for at in range(ceil(low / step), floor(high / step) + 1))


def _round_step(about: float) -> float:
    """The next 1, 2 or 5 with zeros."""
    magnitude = 10.0 ** floor(log10(about)) if about > 0 else 1.0
    return next(each * magnitude for each in (1, 2, 5, 10) if each * magnitude >= about)
