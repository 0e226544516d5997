"""Remarks, in any words, and the findings that they are about.

A remark is evidence: its clip is kept, and what a listener wrote down freely stands beside it. The
tool acts on no word of it.
"""

from dataclasses import replace

from handsfree.engine import wording, wording_people
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
    Says,
    ask,
    not_heeded,
    reply,
    step_id,
    step_of,
    without_value,
)
from handsfree.engine.state import Phase, State
from handsfree.engine.trust import MOST_DOUBTS
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.words.heard import Heard
from handsfree.words.standard import StandardWord

UNABLE = StandardWord.UNABLE.value


def free_text(heard: Heard) -> str:
    """What was said, as the listener that wrote most has it; the words themselves where none did.

    Typed words have no listener.
    """
    free = max((each.free_text.strip() for each in heard.opinions), key=len, default="")
    return free or " ".join(heard.words)


def ask_why(state: State, about: str, entries: Entries, says: Says) -> Advance:
    """The next utterance is a remark."""
    state = replace(without_value(state), phase=Phase.REMARKING, remark=about, doubts=0)
    return ask(state, entries, says)


def remark(task: Task, state: State, heard: Heard) -> tuple[State, Entries]:
    """Keep the remark; it can be empty, where nobody could write down what the clip holds."""
    text, about, number = free_text(heard), state.remark, state.about
    entry = Remarked(step_id(task, state), about, text, number)
    findings = tuple(
        replace(each, remark=text) if each.number == number else each
        for each in state.open_findings
    )
    return replace(state, remark="", doubts=0, open_findings=findings), (entry,)


def nothing_said(task: Task, state: State, heard: Heard) -> Advance | None:
    """Ask again where nothing at all was heard; None: there is a remark, or it was asked enough."""
    if free_text(heard) or state.doubts + 1 >= MOST_DOUBTS:
        return None
    state = replace(state, doubts=state.doubts + 1)
    entry = not_heeded(task, state, heard, NotActedOn.DOUBTFUL)
    return reply(state, (entry,), wording_people.no_words())


def open_finding(
    task: Task, state: State, category: Category, text: str = ""
) -> tuple[State, Finding]:
    """A new finding at this step, to be put on the record by the caller."""
    by = state.crew.number_of(Role.TECHNICIAN)
    finding = Finding(state.opened + 1, step_id(task, state), category, text, by)
    state = replace(state, opened=finding.number, open_findings=(*state.open_findings, finding))
    return state, finding


def unable(task: Task, state: State) -> Advance:
    """The step cannot be done. The finding is open from the first word, whatever follows."""
    state, finding = open_finding(task, state, Category.OTHER)
    state = replace(state, about=finding.number, stood_by_at=state.now)
    entries = (StoodBy(step_id(task, state), UNABLE), FindingOpened(finding))
    says = wording_people.say_why(state.step + 1, "Unable, on the record")
    return ask_why(state, UNABLE, entries, says)


def ask_category(state: State, entries: Entries) -> Advance:
    """What stands in the way?"""
    return ask(replace(state, phase=Phase.CATEGORISING), entries, wording_people.say_category())


def categorised(task: Task, state: State, category: Category) -> Advance:
    """It waits now, or it is deferred by somebody who may."""
    number, step = state.about, step_of(task, state)
    assert number is not None
    findings = tuple(
        replace(each, category=category) if each.number == number else each
        for each in state.open_findings
    )
    state = replace(without_value(state), open_findings=findings, about=None)
    entry = FindingCategorised(number, category)
    if step.deferral is None:
        state = replace(state, phase=Phase.STANDING_BY, doubts=0)
        return ask(state, (entry,), wording.unable(state.step + 1, number))
    says = wording.may_defer(state.step + 1, number, step.deferral.authority)
    # No doubtful hearing parts the question from "affirm".
    return ask(replace(state, phase=Phase.DEFERRING, value_said=says), (entry,), says)
