"""What is noted of one record: everything that many records are searched and compared by.

It is told by the same functions as the page and the work summary of that record, so the index can
say nothing else of it.
"""

import os
from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta

from handsfree.engine.entries import FindingOpened
from handsfree.index.folders import Place
from handsfree.index.hearings import hearings, utc_of
from handsfree.index.step_rows import step_rows
from handsfree.index.tables import (
    EyesRow,
    FindingRow,
    PersonRow,
    ReadingRow,
    RecordRow,
    Row,
    SaidRow,
    Stands,
    Word,
)
from handsfree.page.attention import Attention, Weight, attention
from handsfree.record.entries import LoggedEntry
from handsfree.record.first_screen import trust_in_a_line
from handsfree.record.limits_told import highest_told, lowest_told
from handsfree.record.readings import LoggedReading
from handsfree.record.reviews import told_of
from handsfree.record.standing import verdict
from handsfree.record.summary import Summary, zone_of
from handsfree.record.verify import Stage, Verified
from handsfree.task.expectations import ReadingExpected
from handsfree.task.model import Task
from handsfree.visible import escaped, visible

# Beyond every quantity that people measure; a made-up one would press all others into one line.
_LARGEST_DRAWN = 1e12


def name_of_place(place: Place) -> str:
    """The path below the folder, for people."""
    if place.below == b".":
        return escaped(place.folder.resolve().name)
    return escaped(os.fsdecode(place.below))


def not_read(place: Place, mark: str, why: str) -> RecordRow:
    """The row of a record that cannot be read, and why."""
    return RecordRow(
        id=place.id,
        place=place.below,
        name=name_of_place(place),
        mark=mark,
        stands=Stands.CANNOT_BE_READ.value,
        rank=Stands.CANNOT_BE_READ.rank,
        why=visible(why),
    )


def rows_of(
    place: Place, mark: str, task: Task, entries: Sequence[LoggedEntry], summary: Summary
) -> Iterator[Row]:
    """The row of the record, and then all others; raises EntryUnreadable."""
    zone = zone_of(entries)
    days = {each.seq: each.at.astimezone(zone).date().isoformat() for each in entries}
    said = hearings(place.id, entries, summary.said_by, days)
    eyes = attention(summary, entries, summary.said_by)
    yield _record(place, mark, entries, summary, said, eyes)
    yield from step_rows(place, task, entries, summary, said)
    yield from _readings(place.id, task, summary, days)
    yield from said
    yield from _findings(place.id, entries, summary, days)
    for each in eyes:
        at = each.at.isoformat(timespec="milliseconds")
        yield EyesRow(place.id, each.entry, at, each.weight.value, each.what, each.why, each.who)
    for part in (*summary.workers, *summary.others):
        yield PersonRow(place.id, part.who, part.what if part.of else "", len(part.of))


def _record(
    place: Place,
    mark: str,
    entries: Sequence[LoggedEntry],
    summary: Summary,
    said: Sequence[SaidRow],
    eyes: Sequence[Attention],
) -> RecordRow:
    task, stands = summary.task, _stands(summary)
    ways = dict.fromkeys(each.way.value for each in summary.heard)
    return RecordRow(
        id=place.id,
        place=place.below,
        name=name_of_place(place),
        mark=mark,
        stands=stands.value,
        rank=stands.rank,
        why=_why(summary, stands),
        verdict=verdict(summary.standing),
        trust=trust_in_a_line(summary),
        task=task.task,
        title=task.title,
        revision=task.revision,
        data=f"{task.approved_data.reference}, revision {task.approved_data.revision}",
        aircraft=task.applicability.aircraft,
        component=task.applicability.component,
        began=utc_of(entries[0]) if entries else "",
        ended=utc_of(entries[-1]) if entries else "",
        day="" if summary.began is None else summary.began.date().isoformat(),
        clock="" if summary.began is None else summary.began.strftime("%Y-%m-%d %H:%M"),
        work_s=_seconds(each.work for each in summary.labour),
        stand_by_s=_seconds(each.stand_by for each in summary.labour),
        at_step=summary.standing.at or "",
        heard=", ".join(ways),
        utterances=len(said),
        asked_again=sum(each.asked_again for each in said),
        wrong=_of_weight(eyes, Weight.WRONG),
        doubtful=_of_weight(eyes, Weight.DOUBTFUL),
        noted=_of_weight(eyes, Weight.NOTED),
        open_findings=len(summary.standing.open_findings),
        review=_word(summary.verified).value,
        review_told=_review_told(summary.verified),
    )


def _word(verified: Verified) -> Word:
    if verified.word is not None:
        return Word.ACCEPTED if verified.word.said.accepted else Word.REJECTED
    return Word.VOID if verified.reviews else Word.NONE


def _review_told(verified: Verified) -> str:
    if not verified.reviews:
        return ""
    return visible(" ".join(told_of(verified.word or verified.reviews[0])))


def _why(summary: Summary, stands: Stands) -> str:
    if summary.verified.problems:
        return visible(str(summary.verified.problems[0]))
    return _review_told(summary.verified) if stands is Stands.REJECTED else ""


def _stands(summary: Summary) -> Stands:
    verified, standing = summary.verified, summary.standing
    not_done = standing.deferred or standing.led_on
    found = {
        Stands.NOT_AS_WRITTEN: bool(verified.problems),
        Stands.DECIDES_OTHERWISE: bool(summary.differences),
        Stands.TRIAL: summary.is_trial,
        Stands.REJECTED: _word(verified) is Word.REJECTED,
        Stands.BEING_WRITTEN: _is_being_written(verified),
        Stands.NOT_FINISHED: not standing.finished and not _is_being_written(verified),
        Stands.NOT_ALL_DONE: standing.finished and bool(not_done or standing.undone_only),
        Stands.FINDINGS_OPEN: bool(standing.open_findings),
        Stands.FINISHED: True,
    }
    return min((each for each, is_so in found.items() if is_so), key=lambda each: each.rank)


def _is_being_written(verified: Verified) -> bool:
    return verified.stage is Stage.BEING_WRITTEN


def _of_weight(eyes: Sequence[Attention], weight: Weight) -> int:
    return sum(each.weight is weight for each in eyes)


def _seconds(times: Iterator[timedelta]) -> float:
    return sum(times, timedelta(0)).total_seconds()


def _readings(
    record: str, task: Task, summary: Summary, days: Mapping[int, str]
) -> Iterator[ReadingRow]:
    for each in summary.readings:
        at = task.index_of.get(each.step)
        expected = None if at is None else task.steps[at].expect
        if each.value and isinstance(expected, ReadingExpected):
            yield _reading(record, each, expected, summary, days)


def _reading(
    record: str,
    each: LoggedReading,
    expected: ReadingExpected,
    summary: Summary,
    days: Mapping[int, str],
) -> ReadingRow:
    lowest = lowest_told(each.lowest or None, expected.resolution)
    highest = highest_told(each.highest or None, expected.resolution)
    said_by = None if each.heard_in is None else summary.said_by.get(each.heard_in)
    return ReadingRow(
        record=record,
        entry=each.heard_in or each.entry,
        utc=each.utc,
        day=days[each.entry],
        step=each.step,
        place=summary.task.index_of[each.step] + 1,
        quantity=expected.reading,
        value=each.value,
        unit=each.unit,
        lowest=lowest,
        highest=highest,
        verdict=each.verdict,
        affirmed=each.affirmed == "yes",
        undone=each.undone == "yes",
        person="" if said_by is None else said_by.speaker.person,
        value_drawn=_drawn(each.value),
        lowest_drawn=_drawn(lowest),
        highest_drawn=_drawn(highest),
    )


def _drawn(told: str) -> float | None:
    """A number for a picture; None where there is none that could be drawn with others."""
    try:
        value = float(told)
    except ValueError:  # none at all, or a limit that no decimal tells
        return None
    return value if abs(value) <= _LARGEST_DRAWN else None


def _findings(
    record: str, entries: Sequence[LoggedEntry], summary: Summary, days: Mapping[int, str]
) -> Iterator[FindingRow]:
    opened = {
        each.value.finding.number: each for each in entries if isinstance(each.value, FindingOpened)
    }
    for each in summary.standing.findings:
        finding, entry = each.finding, opened[each.finding.number]
        yield FindingRow(
            record=record,
            number=finding.number,
            step=finding.step,
            category=finding.category.value,
            remark=finding.remark,
            raised=utc_of(entry),
            day=days[entry.seq],
            raised_by=finding.by or "",
            is_open=each.is_open,
            closed_by=each.closed_by or "",
            action=each.action,
        )
