"""What the tests of the sheet read: tasks that come with handsfree, and hostile ones."""

from pathlib import Path

from handsfree.review.sheet import Sheet, sheet_of
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.task.source import read_source

SHA256 = "0123456789abcdef" * 4


def read(path: Path) -> Task:
    return read_task(path.read_text(encoding="utf-8"), path.name)


def sheet_from(text: str) -> Sheet:
    """The sheet of a text that need not be a sound task, only one in form."""
    return sheet_of(Task.model_validate(read_source(text, "t.yaml").value), SHA256)


def said_texts(task: Task) -> list[str]:
    """Every text that a reviewer must find, straight from the model."""
    texts = [*task.notice, *task.warning, *task.consumables, task.title]
    for step in task.steps:
        texts += [*step.warning, *step.caution, *step.note, step.instruction, step.id]
    texts += [rule.because for rule in task.never]
    texts += [each.name for each in task.equipment]
    texts += [each.number for each in task.parts]
    for state in task.states.values():
        texts += [state.called, *state.values]
    return texts


TEMPLATE = """\
task: t
title: {title}
revision: "1"
approved_data: {{reference: QX 1, revision: "2"}}
applicability: {{aircraft: Any 1, component: bottle}}
states:
  pin: {{called: safety pin, values: [fitted, removed, lost], start: removed, end: fitted}}
never:
  - when: {{pin: lost}}
    because: {because}
steps:
  - id: fit-pin
    warning: {warning}
    instruction: {instruction}
    expect: {{confirm: pin fitted}}
    sets: {{pin: fitted}}
"""
