"""Remarks, in any words, and the findings that they are about.

A remark is evidence: its clip is kept, and what a listener wrote down freely stands beside it. The
tool acts on no word of it.
"""

from dataclasses import replace

from handsfree.engine import wording
from handsfree.engine.entries import (
    FindingCategorised,
    FindingOpened,
    NotActedOn,
    Remarked,
    StoodBy,
)
from handsfree.engine.findings import Category, Finding
from handsfree.engine.replies import (
    Advance,
    Entries,
    ask,
    not_heeded,
    reply,
    step_id,
    step_of,
)
from handsfree.engine.state import State
from handsfree.engine.trust import MOST_DOUBTS
from handsfree.engine.waiting import Categorising, Deferring, StandingBy, WhyUnable
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.words.heard import Heard, Trouble
from handsfree.words.standard import StandardWord

UNABLE = StandardWord.UNABLE.value


def free_text(heard: Heard) -> str:
    """What was said, as the listener that wrote most has it; the words themselves where none did.

    Typed words have no listener.
    """
    free = max((each.free_text.strip() for each in heard.opinions), key=len, default="")
    return free or " ".join(heard.words)


def remark(
    task: Task, state: State, about: str, heard: Heard, finding: int | None = None
) -> Entries:
    """What is written of a remark.

    It can be empty, where nobody could write down what the clip holds.
    """
    return (Remarked(step_id(task, state), about, free_text(heard), finding),)


def nothing_said(task: Task, state: State, heard: Heard, wanted: str) -> Advance | None:
    """Ask again where nothing at all was heard; None: there is a remark, or it was asked enough.

    What was cut off is none, however often it was asked for: the half of a remark can say the
    opposite of all of it.
    """
    if heard.trouble is Trouble.CUT_OFF:
        entry = not_heeded(task, state, heard, NotActedOn.DOUBTFUL)
        return reply(state, (entry,), wording.findings.began_too_early(wanted))
    doubt = state.exchange.doubt.about((state.step, state.waits_for, None)).with_try((), heard)
    if free_text(heard) or doubt.count >= MOST_DOUBTS:
        return None
    state = state.with_doubt(doubt)
    entry = not_heeded(task, state, heard, NotActedOn.DOUBTFUL)
    return reply(state, (entry,), wording.findings.no_words(wanted))


def open_finding(
    task: Task, state: State, category: Category, text: str = ""
) -> tuple[State, Finding]:
    """A new finding at this step, to be put on the record by the caller."""
    by = state.crew.number_of(Role.TECHNICIAN)
    findings, finding = state.findings.with_new(step_id(task, state), category, text, by)
    return replace(state, findings=findings), finding


def unable(task: Task, state: State) -> Advance:
    """The step cannot be done. The finding is open from the first word, whatever follows."""
    state, finding = open_finding(task, state, Category.OTHER)
    entries = (StoodBy(step_id(task, state), UNABLE), FindingOpened(finding))
    says = wording.findings.say_why(state.step + 1, "Unable, on the record")
    why = WhyUnable(finding.number, state.now)
    return ask(replace(state.without_doubt(), waits_for=why), entries, says)


def why_unable(task: Task, state: State, heard: Heard, why: WhyUnable) -> Advance:
    """Why it cannot be done has been said; what stands in the way?"""
    entries = remark(task, state, UNABLE, heard, why.finding)
    state = _with_finding(state, why.finding, remark=free_text(heard))
    state = replace(state, waits_for=Categorising(why.finding, why.since))
    return ask(state, entries, wording.findings.say_category())


def categorised(task: Task, state: State, asked: Categorising, category: Category) -> Advance:
    """It waits now, or it is deferred by somebody who may."""
    number, step = asked.finding, step_of(task, state)
    state = _with_finding(state, number, category=category)
    entry = FindingCategorised(number, category)
    if step.deferral is None:
        state = replace(state.without_doubt(), waits_for=StandingBy(asked.since))
        return ask(state, (entry,), wording.steps.unable(state.step + 1, number))
    says = wording.steps.may_defer(state.step + 1, number, step.deferral.authority)
    # No doubtful hearing parts the question from "affirm".
    return ask(replace(state, waits_for=Deferring(asked.since, says)), (entry,), says)


def _with_finding(
    state: State, number: int, *, remark: str | None = None, category: Category | None = None
) -> State:
    """`state` with what has been said of an open finding."""
    finding = state.findings.numbered(number)
    if finding is None:
        return state
    if remark is not None:
        finding = replace(finding, remark=remark)
    if category is not None:
        finding = replace(finding, category=category)
    return replace(state, findings=state.findings.changed(finding))
