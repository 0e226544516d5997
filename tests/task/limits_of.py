"""Limits and tasks made from a few words of a task file."""

from textwrap import indent

import pytest
import yaml
from pydantic import TypeAdapter, ValidationError

from handsfree.task.limits.forms import Limits
from handsfree.task.model import Task
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task

_HEAD = """\
task: t
title: T
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: bottle}
steps:
"""


def limits_of(text: str) -> Limits:
    """The limits that `text`, as it stands after `limits:`, gives."""
    return TypeAdapter[Limits](Limits).validate_python(yaml.load(text, Loader=yaml.BaseLoader))


def complaint_about(text: str) -> str:
    """What is said of limits that are wrong in themselves."""
    with pytest.raises(ValidationError) as caught:
        limits_of(text)
    return str(caught.value)


def task_text(*steps: str) -> str:
    """A task file with a step for each "name quantity unit limits"; the first from line 7."""
    text = _HEAD
    for step in steps:
        name, quantity, unit, limits = step.split(maxsplit=3)
        text += (
            f"  - id: {name}\n    instruction: Read it.\n    expect:\n      reading: {quantity}\n"
            f"      unit: {unit}\n      resolution: 1\n      limits:\n{indent(limits, ' ' * 8)}\n"
        )
    return text


def task_of(*steps: str) -> Task:
    return read_task(task_text(*steps), "t.yaml")


def complaints_of(*steps: str) -> list[str]:
    """What `check` says of the task."""
    with pytest.raises(TaskFileError) as caught:
        task_of(*steps)
    return str(caught.value).splitlines()
