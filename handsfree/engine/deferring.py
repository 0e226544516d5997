"""A deferral: who has agreed that the step stays undone, and under which reference.

That it is deferred is the word of whoever may defer it, and they are seldom at the aircraft. So the
technician's "affirm" alone is not enough: the name and the reference are asked for, read back, and
put on the record, where a supervisor can follow them. The name is said in any words, and its clip
is what counts; the reference is spelled.
"""

from dataclasses import replace

from handsfree.engine import wording
from handsfree.engine.entries import Entry
from handsfree.engine.interrupting import after_waiting
from handsfree.engine.leaving import defer
from handsfree.engine.remarks import free_text, remark
from handsfree.engine.replies import Advance, Entries, ask, step_of
from handsfree.engine.state import State
from handsfree.engine.waiting import DeferralHeard, Deferring, Referencing, WhoDeferred
from handsfree.task.course import DEFERRED
from handsfree.task.model import Task
from handsfree.words.heard import Heard


def ask_who(state: State, waits: Deferring | Referencing | DeferralHeard) -> Advance:
    """Somebody has deferred the step: who?"""
    return _ask_who(state, waits, ())


def _ask_who(
    state: State, waits: Deferring | Referencing | DeferralHeard, entries: Entries
) -> Advance:
    state = replace(state.without_doubt(), waits_for=WhoDeferred(waits.since))
    return ask(state, entries, wording.steps.who_deferred())


def name_said(task: Task, state: State, heard: Heard, waits: WhoDeferred) -> Advance:
    """Keep the name, and ask for the reference."""
    entries: tuple[Entry, ...] = remark(task, state, DEFERRED, heard)
    state = replace(state, waits_for=Referencing(waits.since, free_text(heard)))
    return ask(state, entries, wording.steps.deferral_reference())


def reference_said(
    task: Task, state: State, waits: Referencing | DeferralHeard, characters: str
) -> Advance:
    """Read both back."""
    deferral = step_of(task, state).deferral
    assert deferral is not None
    says = wording.steps.deferral_read_back(deferral.authority, waits.name, characters)
    heard = DeferralHeard(waits.since, waits.name, characters, says)
    return ask(replace(state, waits_for=heard), (), says)


def affirmed(task: Task, state: State, heard: Heard, waits: DeferralHeard) -> Advance:
    """Name and reference are right: the step stays undone, with its finding open."""
    state = after_waiting(state, waits)
    return defer(task, state, heard, waits.name, waits.reference)
