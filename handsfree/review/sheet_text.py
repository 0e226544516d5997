"""The sheet as text: for a terminal or a pipe, 80 columns and no colour needed."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from rich.console import Console
from rich.text import Text

from handsfree.review.lanes import Lane
from handsfree.review.sheet import Sheet, StepRow
from handsfree.review.words import (
    CRITICAL,
    LANES_READ_AS,
    NOT_APPROVED,
    OUTRANKED,
    STEPS_READ_AS,
)

_LABEL_WIDTH = 10
_NUMBER_WIDTH = 4
_NARROWEST = 40
_FURTHER = 2


@dataclass(frozen=True, slots=True)
class _Line:
    """A text behind a label; what does not fit on the line goes below the text."""

    text: str
    style: str = ""
    label: str = ""
    indent: int = 0
    hang: int = 0  # where the text begins
    further: int = 0  # by how much more its next lines are moved, to set it off from the next text


def print_sheet(sheet: Sheet, console: Console) -> None:
    """Print all of `sheet`, as wide as `console` is."""
    width = max(console.width, _NARROWEST)
    for line in _lines(sheet, width):
        head = " " * line.indent + line.label
        room = width - line.hang - line.further
        parts = Text(line.text, style=line.style).wrap(console, room) or [Text()]
        for at, part in enumerate(parts):
            part.rstrip()
            start = head.ljust(line.hang) if at == 0 else " " * (line.hang + line.further)
            console.print(Text(start if part else "") + part, soft_wrap=True)


def _lines(sheet: Sheet, width: int) -> Iterator[_Line]:
    yield _Line(sheet.title, "bold")
    yield _Line(NOT_APPROVED)
    yield _Line("")
    yield _fact("Task", f"{sheet.task}, revision {sheet.revision}")
    yield _fact("Data", f"{sheet.approved_data}, revision {sheet.approved_revision}. {OUTRANKED}")
    yield _fact("Aircraft", sheet.aircraft)
    yield _fact("Component", sheet.component)
    yield _fact("SHA-256", sheet.sha256)
    yield from _facts("Hearing", sheet.hearing)
    yield from _facts("Also", sheet.further)
    if sheet.notices or sheet.warnings:
        yield from _section("Said before the first step")
        yield from _facts("Notice", sheet.notices)
        yield from _facts("WARNING", sheet.warnings, "bold")
    for title, texts in (
        ("Equipment", sheet.equipment),
        ("Parts", sheet.parts),
        ("Consumables", sheet.consumables),
        ("Counted out and in", sheet.counted),
        ("Said at the start of a run", sheet.variants),
        ("Not known at the start", sheet.unknown),
        ("Warned of, and answered by the author", sheet.answered),
    ):
        if texts:
            yield from _section(title)
            for text in texts:
                yield _Line(text, label="-", hang=2)
    if sheet.rules:
        yield from _section("What must never be")
        for number, rule in enumerate(sheet.rules, 1):
            yield _numbered(number, rule.when, "bold")
            yield _Line(rule.because, hang=_NUMBER_WIDTH)
    yield from _section("Steps")
    yield _Line(STEPS_READ_AS)
    for step in sheet.steps:
        yield from _step(step)
    if sheet.lanes:
        yield from _section("States over the steps")
        yield _Line(LANES_READ_AS)
        yield _Line(_KEY)
        yield from _lanes(sheet.lanes, len(sheet.steps), width)


def _section(title: str) -> Iterator[_Line]:
    yield _Line("")
    yield _Line(title.upper(), "bold")


def _fact(label: str, text: str, style: str = "", indent: int = 0, further: int = 0) -> _Line:
    return _Line(text, style, label, indent, indent + _LABEL_WIDTH, further)


def _facts(label: str, texts: Iterable[str], style: str = "", indent: int = 0) -> Iterator[_Line]:
    all_texts = list(texts)
    for at, text in enumerate(all_texts):
        # One label for a list of facts, but each warning is one of its own.
        one_of_several = len(all_texts) > 1 and not style
        further = _FURTHER if one_of_several else 0
        yield _fact(label if at == 0 or style else "", text, style, indent, further)


def _numbered(number: int, text: str, style: str) -> _Line:
    return _Line(text, style, str(number), 0, _NUMBER_WIDTH)


def _step(step: StepRow) -> Iterator[_Line]:
    yield _Line("")
    yield _numbered(step.number, step.id, "dim")
    inner = _NUMBER_WIDTH
    yield from _facts("Repeat", step.repeats, "", inner)
    yield from _facts("Applies", step.applies, "", inner)
    yield from _facts("Wait", step.waits, "", inner)
    yield from _facts("WARNING", step.warnings, "bold", inner)
    yield from _facts("CAUTION", step.cautions, "bold", inner)
    yield from _facts("Note", step.notes, "", inner)
    yield _fact("Do", step.instruction, "bold", inner)
    yield from _facts("Hear", step.heard, "", inner)
    yield from _facts("CRITICAL", (CRITICAL,) if step.critical else (), "bold", inner)
    if step.limits is not None:
        worked = (f"at {row.at}: {row.allowed}" for row in step.limits.rows)
        yield from _facts("Limits", (step.limits.rule, *worked), "", inner)
    yield from _facts("Needs", step.needs, "", inner)
    yield from _facts("Sets", step.sets, "", inner)
    yield from _facts("Counts", step.counts, "", inner)
    yield from _facts("Then", step.leads, "", inner)
    yield from _facts("Deferral", step.deferral, "", inner)
    yield from _facts("Also", step.further, "", inner)


_KEY = "Column 0 is the start. = it can be so, # the step sets it, end it may end so."
_END = " end"


def _lanes(lanes: tuple[Lane, ...], steps: int, width: int) -> Iterator[_Line]:
    names = max(len(lane.called) for lane in lanes) + 1
    values = max(len(value) for lane in lanes for value in lane.values) + 1
    room = max(width - names - values - len(_END), 10)
    head = " " * (names + values)
    for first in range(0, steps + 1, room):
        numbers = range(first, min(first + room, steps + 1))
        yield _Line("")
        if numbers[-1] >= 10:
            yield _Line(head + "".join(str(n // 10 % 10) if n >= 10 else " " for n in numbers))
        yield _Line(head + "".join(str(n % 10) for n in numbers))
        for lane in lanes:
            for at, value in enumerate(lane.values):
                name = (lane.called if at == 0 else "").ljust(names)
                track = "".join(_mark(lane, value, n) for n in numbers)
                end = _END if value in lane.ends and numbers[-1] == steps else ""
                yield _Line(f"{name}{value.ljust(values)}{track}{end}")


def _mark(lane: Lane, value: str, number: int) -> str:
    if value not in ((lane.start,) if number == 0 else lane.after[number - 1]):
        return "."
    return "#" if number and value in lane.set_to[number - 1] else "="
