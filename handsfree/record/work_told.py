"""The work of a run in tables and lists, as the work summary has it below its first screen."""

from collections.abc import Iterable, Iterator
from datetime import timedelta

from handsfree.engine.entries import ChoiceMade, DateRead, IdentityRead, ReadingTaken
from handsfree.record.first_screen import part_in_words
from handsfree.record.in_words import clock
from handsfree.record.passes import End, Pass
from handsfree.record.standing import FindingStands
from handsfree.record.summary import Summary


def work_told(summary: Summary) -> list[str]:
    """Who did what, labour, what is not done, findings, and what was read; lines of Markdown."""
    lines = [
        "## Who did what",
        "",
        "| step | | done by | value | affirmed by | second person | inspector | attempts |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
        *(_row(each) for each in summary.passes),
        "",
    ]
    if summary.others:
        lines += [
            "Others on the record:",
            "",
            *(f"- {part_in_words(each)}" for each in summary.others),
            "",
        ]
    lines += ["## Labour", "", "| step | work | stand-by |", "| --- | --- | --- |"]
    lines += [
        f"| {each.step} | {clock(each.work)} | {clock(each.stand_by)} |" for each in summary.labour
    ]
    work = sum((each.work for each in summary.labour), timedelta(0))
    stand_by = sum((each.stand_by for each in summary.labour), timedelta(0))
    lines += [f"| total | {clock(work)} | {clock(stand_by)} |", ""]
    if summary.people_labour:
        lines += ["| person | role | work | stand-by |", "| --- | --- | --- | --- |"]
        lines += [
            f"| {_cell(each.name)} ({_cell(each.staff_number)}) | {each.role.value} "
            f"| {clock(each.work)} | {clock(each.stand_by)} |"
            for each in summary.people_labour
        ]
        lines += [""]
    lines += _section("Steps that are not done", _not_done(summary))
    lines += _section("Findings", map(_finding, summary.standing.findings))
    lines += _section("Inspections, remarks, handovers, and what was undone", summary.told)
    lines += _section("Readings that were affirmed", _readings(summary, affirmed=True))
    lines += _section("Readings that were undone, and do not count", _readings(summary))
    lines += _section("Numbers and dates that were read out", map(_read_out, summary.identities))
    return lines


def _section(head: str, told: Iterable[str]) -> list[str]:
    """A list below its head; nothing where there is nothing to list."""
    points = [f"- {each}" for each in told]
    return [f"## {head}", "", *points, ""] if points else []


def _row(each: Pass) -> str:
    ending = {End.DONE: each.outcome, End.OPEN: "not left"}.get(
        each.end, f"{each.end.value}: {each.outcome}"
    )
    second = ""
    if each.second is not None:
        unit = f" {each.second.unit}" if each.second.unit else ""
        second = f"{each.second.by.person}: {each.second.figures}{unit}"
    cells = (
        each.step,
        f"UNDONE ({ending})" if each.undone else ending,
        each.done_by,
        _value(each),
        ""
        if each.affirmed is None
        else f"{each.affirmed.speaker.person}, {each.affirmed.way.value}",
        second,
        "" if each.inspector is None else each.inspector.person,
        str(each.attempts),
    )
    return f"| {' | '.join(map(_cell, cells))} |"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _value(each: Pass) -> str:
    match each.taken:
        case ReadingTaken(value=value, unit=unit, verdict=judged):
            return f"{value:f} {unit}, {judged.value}"
        case IdentityRead(characters=characters):
            return characters
        case DateRead(said=said):
            return said
        case ChoiceMade(choice=choice):
            return choice
    return ""


def _not_done(summary: Summary) -> Iterator[str]:
    for step, by in summary.standing.deferred:
        yield f"{step}: deferred by {by}"
    for step, outcome in summary.standing.led_on:
        yield f"{step}: {outcome}, which leads on as the task says"
    for step in summary.standing.undone_only:
        yield f"{step}: undone, and not done since"
    if summary.standing.at is not None:
        yield f"{summary.standing.at}: begun, and not left"


def _readings(summary: Summary, affirmed: bool = False) -> Iterator[str]:
    for each in summary.readings:
        wanted = each.affirmed == "yes" if affirmed else each.undone == "yes" and each.value
        if wanted:
            yield f"{each.step}: {each.value} {each.unit}, {each.verdict}"


def _read_out(read: IdentityRead | DateRead) -> str:
    return f"{read.step}: {read.said if isinstance(read, DateRead) else read.characters}"


def _finding(stands: FindingStands) -> str:
    finding = stands.finding
    raised = f", raised by {finding.by}" if finding.by else ""
    action = f": {stands.action or '(what was done is in the clip)'}"
    ended = "**open**" if stands.is_open else f"closed by {stands.closed_by}{action}"
    remark = finding.remark or "(the remark is in the clip)"
    return (
        f"{finding.number}, at {finding.step}, {finding.category.value}: {remark}{raised}; {ended}"
    )
