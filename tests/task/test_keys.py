"""What may stand in a task file is what stood in it before, key by key; `keys.txt` has it."""

import pytest
from pydantic import ValidationError

from handsfree.task.read import read_task
from tests.task.faults import step, task
from tests.task.keys import KEPT, keys, schema_of_parts


def test_each_key_takes_what_it_took() -> None:
    assert keys() == KEPT.read_text(encoding="utf-8")


def test_an_editor_can_tell_what_each_key_means() -> None:
    unsaid = [
        (name, key)
        for name, part in schema_of_parts().items()
        for key, value in part["properties"].items()
        if not value.get("description")
    ]
    assert unsaid == []


def test_a_task_that_was_read_and_proved_cannot_be_changed() -> None:
    read = read_task(task(step("look")), "t.yaml")
    with pytest.raises(ValidationError, match="frozen"):
        read.steps[0].critical = True
