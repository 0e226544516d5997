"""The work summary in Markdown: the first screen tells a supervisor what to think of a run.

Below it stands what 14 CFR 43.9(a) asks of a maintenance record entry, for certifying staff. From
memory: (1) a description of the work or a reference to data acceptable to the Administrator, (2)
the date of completion, (3) the name of the person who did the work, if other than the one in (4),
(4) signature, certificate number and kind of certificate of the person who approves the work, which
is the approval for return to service. Here, (4) is never filled in; and where the record is not
finished, does not verify or does not replay, there is no place to sign.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from handsfree.engine.entries import ChoiceMade, DateRead, IdentityRead, ReadingTaken
from handsfree.engine.wording.steps import RELEASE
from handsfree.record.entries import read_utc
from handsfree.record.marks import Way
from handsfree.record.mishaps import Kind
from handsfree.record.passes import NOT_NAMED, End, Pass
from handsfree.record.reviews import told_of
from handsfree.record.standing import FindingStands, verdict
from handsfree.record.summary import Part, Summary
from handsfree.record.verify import Verified
from handsfree.visible import visible

TRIAL = "A TRIAL of the task: its clock went faster than time does. This is no record of work."
_BLANK = "______________________"


def as_text(summary: Summary) -> str:
    """The summary in Markdown.

    What people and files say in it stays on the line that it is told on, and is no HTML, link or
    picture: a remark must not be able to write a section of its own, such as an approval.
    """
    lines = (*_first_screen(summary), *_entry(summary), *_work(summary), *_trust(summary), "")
    return "\n".join(visible(line).replace("<", "&lt;").replace("](", "]\\(") for line in lines)


def _first_screen(summary: Summary) -> Iterator[str]:
    yield f"# Work summary: {summary.task.title}"
    yield ""
    if summary.is_trial:
        yield f"**{TRIAL}**"
        yield ""
    yield from (f"- **Review:** {told}" for told in reviews_told(summary))
    several = _one_keyboard_for_several(summary)
    if several:
        yield (
            f"**TYPED, NOT SPOKEN: one keyboard typed all that {several} are said to have said. "
            "Nothing shows that they were there.**"
        )
        yield ""
    yield f"- **Verdict:** {verdict(summary.standing)}"
    yield f"- **Trust:** {trust_in_a_line(summary)}"
    yield f"- **Heard:** {heard_in_a_line(summary)}"
    yield f"- **When:** {_when(summary)}"
    yield f"- **Who:** {who_in_a_line(summary)}"
    yield f"- **Went wrong:** {_went_wrong(summary)}"
    yield f"- **What:** {_what(summary)}"
    yield ""
    if summary.mishaps:
        yield "## What went wrong"
        yield ""
        for each in summary.mishaps:
            when = _time(summary, each.utc)
            yield f"- {when}, entry {each.entry}, {each.kind.value[0]}: {each.what}"
        yield ""


def reviews_told(summary: Summary) -> Iterator[str]:
    """Each supervisor's word on a line, the latest first."""
    for each in summary.verified.reviews:
        yield f"{_time(summary, each.utc, always_day=True)}: {' '.join(told_of(each))}"


def _one_keyboard_for_several(summary: Summary) -> str:
    """Who they are, as a list; "" where somebody was heard, or only one is told of."""
    people = dict.fromkeys(each.speaker.person for each in summary.heard)
    if len(people) < 2 or any(each.way is not Way.TYPED for each in summary.heard):
        return ""
    *others, last = people
    return f"{', '.join(others)} and {last}"


def trust_in_a_line(summary: Summary) -> str:
    """Whether the record can be trusted, and why or why not."""
    verified = summary.verified
    parts = []
    if verified.problems:
        more = len(verified.problems) - 1
        others = f" And {more} more, below." if more else ""
        parts.append(f"DO NOT TRUST IT: the record does not verify. {verified.problems[0]}{others}")
    else:
        parts.append("the record verifies from end to end.")
        advice = ""
        if verified.owners is None:
            advice = ": compare keys with those that their owners gave you"
        parts.append(f"{_seals(verified)}{advice}.")
    if verified.keyless_until is not None:
        parts.append(f"Opened without a key until entry {verified.keyless_until}.")
    if summary.differences:
        parts.append(f"REPLAY DIFFERS in {_count(summary.differences, 'decision')}.")
    else:
        parts.append("A replay decides the same.")
    if verified.removed:
        parts.append(f"The sound of {_count(verified.removed, 'utterance')} was removed.")
    return " ".join(parts)


def _seals(verified: Verified) -> str:
    told = []
    for at, seal in enumerate(verified.seals):
        last = seal.entries - 1
        where = "its last entry" if seal is verified.sealed else f"entry {last}"
        owner = None if verified.owners is None else verified.owners[at]
        whose = f"key {seal.key[:16]}"
        if verified.owners is not None:
            whose = "a key that you do not trust" if owner is None else f"{owner.role}, trusted"
        told.append(f"to {where} by {seal.by}, {whose}")
    return f"Sealed {' and '.join(told)}"


def heard_in_a_line(summary: Summary) -> str:
    """How people reached the tool, and how often."""
    if not summary.heard:
        return "nobody."
    parts = []
    for way in Way:
        of_way = Counter(each.speaker.person for each in summary.heard if each.way is way)
        if of_way:
            people = ", ".join(f"{who} {count}" for who, count in of_way.items())
            told = "typed, not spoken" if way is Way.TYPED else way.value
            parts.append(f"{told}: {_count(of_way.total(), 'utterance')} ({people})")
    return f"{'; '.join(parts)}."


def _when(summary: Summary) -> str:
    if summary.began is None or summary.ended is None:
        return "the record does not tell."
    began, ended = summary.began, summary.ended
    end = f"{ended:%H:%M:%S}" if ended.date() == began.date() else f"{ended:%Y-%m-%d %H:%M:%S}"
    work = sum((each.work for each in summary.labour), timedelta(0))
    stand_by = sum((each.stand_by for each in summary.labour), timedelta(0))
    return (
        f"{began:%Y-%m-%d %H:%M:%S} to {end} ({_zone_of(summary, began)}); work {clock(work)}, "
        f"standing by {clock(stand_by)}."
    )


def _zone_of(summary: Summary, time: datetime) -> str:
    if summary.opened is None or not summary.opened.zone:
        return "UTC; local time is not on the record"
    return f"{time:%Z}"


def who_in_a_line(summary: Summary) -> str:
    """Who did what."""
    parts = [*map(_part, summary.workers), *map(_part, summary.others)]
    if not summary.workers:
        parts.insert(0, "nobody has done a step")
    unnamed = "" if summary.identified else " People were not identified in this run."
    return f"{'; '.join(parts)}.{unnamed}"


def _part(part: Part) -> str:
    if not part.of:
        return f"{part.who} {part.what}"
    if part.what == "did":
        return f"{part.who} did {_count(len(part.of), 'step')}"
    return f"{part.who} {part.what} {', '.join(part.of)}"


def _went_wrong(summary: Summary) -> str:
    if not summary.mishaps:
        return "nothing that is on the record."
    counts = Counter(each.kind for each in summary.mishaps)
    told = (f"{counts[kind]} {kind.value[counts[kind] > 1]}" for kind in Kind if counts[kind])
    return f"{', '.join(told)}."


def _what(summary: Summary) -> str:
    task, opened = summary.task, summary.opened
    version = f" handsfree {opened.handsfree}." if opened is not None else ""
    return (
        f"task {task.task}, revision {task.revision}, on {task.applicability.aircraft}, "
        f"{task.applicability.component}.{version}"
    )


def _entry(summary: Summary) -> list[str]:
    task, data = summary.task, summary.task.approved_data
    named = [
        f"- {each.who}: {', '.join(each.of)}" for each in summary.workers if each.who != NOT_NAMED
    ]
    completed = "not completed" if summary.completed is None else f"{summary.completed:%Y-%m-%d}"
    if summary.completed is not None:
        completed = f"{completed} ({_zone_of(summary, summary.completed)})"
    return [
        *(f"> {notice}" for notice in task.notice),
        *([""] if task.notice else []),
        f"{RELEASE} The content follows 14 CFR 43.9(a).",
        "",
        "## (1) Work, and the data it follows",
        "",
        f"{task.title}. Task {task.task}, revision {task.revision}, after {data.reference}, "
        f"revision {data.revision}.",
        f"Aircraft: {task.applicability.aircraft}. Component: {task.applicability.component}.",
        verdict(summary.standing),
        "",
        "## (2) Date of completion",
        "",
        completed,
        "",
        "## (3) Name of the person who did the work",
        "",
        *(named or (_BLANK,)),
        *(() if summary.identified else ("", "People were not identified in this run.")),
        "",
        "## (4) Approval for return to service",
        "",
        *_signature(summary),
        "",
    ]


def _signature(summary: Summary) -> tuple[str, ...]:
    if summary.why_unsigned:
        return (f"There is nothing to sign here: {', and '.join(summary.why_unsigned)}.",)
    return (
        "Left blank, for licensed certifying staff.",
        "",
        f"Signature: {_BLANK}",
        f"Certificate number: {_BLANK}",
        f"Kind of certificate: {_BLANK}",
    )


def _work(summary: Summary) -> list[str]:
    lines = [
        "## Who did what",
        "",
        "| step | | done by | value | affirmed by | second person | inspector | attempts |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
        *(_row(each) for each in summary.passes),
        "",
    ]
    if summary.others:
        lines += ["Others on the record:", "", *(f"- {_part(each)}" for each in summary.others), ""]
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


def _trust(summary: Summary) -> list[str]:
    verified = summary.verified
    lines = ["## The record", "", f"Its last entry has the SHA-256 {summary.head}."]
    if summary.opened is not None:
        opened = summary.opened
        lines += [
            f"Written by handsfree {opened.handsfree}; the task file has {opened.task_sha256}."
        ]
        lines += [f"Heard with {name}, SHA-256 {sha256}." for name, sha256 in opened.models]
    lines += [
        f"Sealed by {seal.by} at {seal.utc}, entries 0 to {seal.entries - 1}, key {seal.key}."
        for seal in verified.seals
    ]
    if verified.stamped is not None:
        lines += [f"An authority saw the seal at {verified.stamped.isoformat()}."]
    lines += list(verified.notes)
    if verified.problems:
        lines += ["", "**It does not verify:**", ""]
        lines += [f"- {problem}" for problem in verified.problems]
    else:
        lines += ["It verifies from end to end."]
    if verified.removed:
        lines += [f"The sound of {verified.removed} utterances was removed; the record says why."]
    return lines


def _finding(stands: FindingStands) -> str:
    finding = stands.finding
    raised = f", raised by {finding.by}" if finding.by else ""
    action = f": {stands.action or '(what was done is in the clip)'}"
    ended = "**open**" if stands.is_open else f"closed by {stands.closed_by}{action}"
    remark = finding.remark or "(the remark is in the clip)"
    return (
        f"{finding.number}, at {finding.step}, {finding.category.value}: {remark}{raised}; {ended}"
    )


def _time(summary: Summary, utc: str, always_day: bool = False) -> str:
    time = summary.local(read_utc(utc))
    is_first_day = summary.began is None or time.date() == summary.began.date()
    is_first_day = is_first_day and not always_day
    return f"{time:%H:%M:%S}" if is_first_day else f"{time:%Y-%m-%d %H:%M:%S}"


def clock(time: timedelta) -> str:
    """A time as hours, minutes and seconds."""
    seconds = round(time.total_seconds())
    return f"{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


def _count(number: int, name: str) -> str:
    return f"{number} {name}" if number == 1 else f"{number} {name}s"
