"""The work summary in Markdown: the first screen tells a supervisor what to think of a run.

Below it stands what 14 CFR 43.9(a) asks of a maintenance record entry, for certifying staff. From
memory: (1) a description of the work or a reference to data acceptable to the Administrator, (2)
the date of completion, (3) the name of the person who did the work, if other than the one in (4),
(4) signature, certificate number and kind of certificate of the person who approves the work, which
is the approval for return to service. Here, (4) is never filled in; and where the record is not
finished, does not verify or does not replay, there is no place to sign.
"""

from handsfree.engine.wording.steps import RELEASE
from handsfree.record.first_screen import first_screen
from handsfree.record.in_words import zone_of
from handsfree.record.passes import NOT_NAMED
from handsfree.record.standing import verdict
from handsfree.record.summary import Summary
from handsfree.record.work_told import work_told
from handsfree.visible import visible

_BLANK = "______________________"


def as_text(summary: Summary) -> str:
    """The summary in Markdown.

    What people and files say in it stays on the line that it is told on, and is no HTML, link or
    picture: a remark must not be able to write a section of its own, such as an approval.
    """
    lines = (*first_screen(summary), *_entry(summary), *work_told(summary), *_trust(summary), "")
    return "\n".join(visible(line).replace("<", "&lt;").replace("](", "]\\(") for line in lines)


def _entry(summary: Summary) -> list[str]:
    task, data = summary.task, summary.task.approved_data
    named = [
        f"- {each.who}: {', '.join(each.of)}" for each in summary.workers if each.who != NOT_NAMED
    ]
    completed = "not completed" if summary.completed is None else f"{summary.completed:%Y-%m-%d}"
    if summary.completed is not None:
        completed = f"{completed} ({zone_of(summary, summary.completed)})"
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
