"""The first screen of the work summary: it tells a supervisor what to think of a run."""

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta

from handsfree.record.in_words import clock, counted, time_of, zone_of
from handsfree.record.marks import Way
from handsfree.record.mishaps import Kind
from handsfree.record.reviews import told_of
from handsfree.record.standing import verdict
from handsfree.record.summary import Part, Summary
from handsfree.record.verified import Verified

TRIAL = "A TRIAL of the task: its clock went faster than time does. This is no record of work."


def first_screen(summary: Summary) -> Iterator[str]:
    """Its lines in Markdown; below them what went wrong, each on a line."""
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
            when = time_of(summary, each.utc)
            yield f"- {when}, entry {each.entry}, {each.kind.value[0]}: {each.what}"
        yield ""


def reviews_told(summary: Summary) -> Iterator[str]:
    """Each supervisor's word on a line, the latest first."""
    for each in summary.verified.reviews:
        yield f"{time_of(summary, each.utc, always_day=True)}: {' '.join(told_of(each))}"


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
        parts.append(f"REPLAY DIFFERS in {counted(summary.differences, 'decision')}.")
    else:
        parts.append("A replay decides the same.")
    if verified.removed:
        parts.append(f"The sound of {counted(verified.removed, 'utterance')} was removed.")
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
            parts.append(f"{told}: {counted(of_way.total(), 'utterance')} ({people})")
    return f"{'; '.join(parts)}."


def _when(summary: Summary) -> str:
    if summary.began is None or summary.ended is None:
        return "the record does not tell."
    began, ended = summary.began, summary.ended
    end = f"{ended:%H:%M:%S}" if ended.date() == began.date() else f"{ended:%Y-%m-%d %H:%M:%S}"
    work = sum((each.work for each in summary.labour), timedelta(0))
    stand_by = sum((each.stand_by for each in summary.labour), timedelta(0))
    return (
        f"{began:%Y-%m-%d %H:%M:%S} to {end} ({zone_of(summary, began)}); work {clock(work)}, "
        f"standing by {clock(stand_by)}."
    )


def who_in_a_line(summary: Summary) -> str:
    """Who did what."""
    parts = [*map(part_in_words, summary.workers), *map(part_in_words, summary.others)]
    if not summary.workers:
        parts.insert(0, "nobody has done a step")
    unnamed = "" if summary.identified else " People were not identified in this run."
    return f"{'; '.join(parts)}.{unnamed}"


def part_in_words(part: Part) -> str:
    """What one person did, and of which steps."""
    if not part.of:
        return f"{part.who} {part.what}"
    if part.what == "did":
        return f"{part.who} did {counted(len(part.of), 'step')}"
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
