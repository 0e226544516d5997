"""The starter passes check, shows every key, and cannot be taken for a real task."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.authoring.new_file import TaskFileNotWritten, write_new
from handsfree.authoring.schema import SCHEMA_FILE, task_schema
from handsfree.authoring.starter import starter_for, task_id
from handsfree.task.checks.advice import advise
from handsfree.task.checks.answers import answers
from handsfree.task.read import read_and_prove, read_task
from tests.authoring.test_schema import complaints

STARTER = starter_for(Path("door-pin.yaml"))


def test_the_starter_passes_check_and_is_named_after_its_file() -> None:
    assert read_task(STARTER, "door-pin.yaml").task == "door-pin"


def test_check_has_nothing_to_say_of_how_the_starter_is_written() -> None:
    task, _, source = read_and_prove(STARTER, "door-pin.yaml")
    assert answers(task, source, advise(task, source)).left == ()


def test_the_starter_is_valid_by_the_schema() -> None:
    assert complaints(STARTER) == []


def test_the_starter_shows_and_explains_every_key() -> None:
    for part in [task_schema(), *task_schema()["$defs"].values()]:
        for key in part["properties"]:
            assert re.search(rf"(^|[\s{{-]){key}:", STARTER, re.M), key


def test_the_first_thing_it_says_is_that_it_holds_placeholders() -> None:
    first = read_task(STARTER, "t.yaml").notice[0]
    assert first == "This task holds placeholder values. Do not use it on any aircraft."


def test_the_starter_says_that_approved_data_outranks_it() -> None:
    assert "Approved maintenance data, the operator's procedures" in STARTER
    assert "outrank this file" in STARTER


def test_every_value_that_looks_real_says_that_it_is_none() -> None:
    for line in STARTER.splitlines():
        if re.match(r"\s*(- )?(reference|aircraft|component|name|number|warning): [^#]", line):
            assert "PLACEHOLDER" in line, line


def test_a_schema_is_named_only_where_one_lies_beside_the_file(tmp_path: Path) -> None:
    named = f"# yaml-language-server: $schema={SCHEMA_FILE}\n"
    assert not starter_for(tmp_path / "a.yaml").startswith(named)
    (tmp_path / SCHEMA_FILE).touch()
    assert starter_for(tmp_path / "a.yaml").startswith(named)


@given(st.text(alphabet=st.characters(exclude_characters="/\0", codec="utf-8"), min_size=1))
def test_any_file_name_gives_a_task_name_or_is_refused(name: str) -> None:
    if re.search("[a-z0-9]", name.lower()):
        assert re.fullmatch("[a-z][a-z0-9]*(-[a-z0-9]+)*", task_id(Path(f"{name}.yaml")))
    else:
        with pytest.raises(TaskFileNotWritten, match="no name for the task is in it"):
            task_id(Path(f"{name}.yaml"))


def test_a_file_that_is_there_is_not_touched(tmp_path: Path) -> None:
    file = tmp_path / "a.yaml"
    file.write_text("mine")
    with pytest.raises(TaskFileNotWritten, match="is there already, and nothing was written"):
        write_new(file, STARTER)
    assert file.read_text() == "mine"


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("none/a.yaml", "there is no folder '{0}/none'. Make it first, or choose another."),
        ("a.txt", "a task file needs a name that ends in .yaml."),
    ],
)
def test_a_place_that_cannot_be_is_refused(tmp_path: Path, name: str, message: str) -> None:
    with pytest.raises(TaskFileNotWritten) as caught:
        write_new(tmp_path / name, STARTER)
    assert str(caught.value) == f"{tmp_path / name}: {message.format(tmp_path)}"
