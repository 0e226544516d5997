"""The schema against JSON Schema's own metaschema and its reference library."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from handsfree.authoring.schema import ONLY_CHECK_KNOWS, task_schema
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from tests.shipped_tasks import TASKS
from tests.small_task import SMALL

VALIDATOR = Draft202012Validator(task_schema())


class EditorLoader(yaml.SafeLoader):
    """Reads as editors do, by the core schema of YAML 1.2.2 (10.3), which has no dates."""


def _as_text(_loader: yaml.SafeLoader, node: yaml.Node) -> str:
    return str(node.value)


EditorLoader.add_constructor("tag:yaml.org,2002:timestamp", _as_text)


def complaints(text: str) -> list[str]:
    """What an editor would underline; PyYAML reads the text, not our own reader."""
    return [error.message for error in VALIDATOR.iter_errors(yaml.load(text, EditorLoader))]


def test_the_schema_is_valid_by_the_metaschema() -> None:
    """JSON Schema draft 2020-12, by the metaschema that the jsonschema library carries."""
    schema = task_schema()
    assert schema["$schema"] == Draft202012Validator.META_SCHEMA["$id"]
    Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("path", TASKS, ids=lambda path: path.stem)
def test_the_shipped_tasks_are_valid(path: Path) -> None:
    assert complaints(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("title:", "tilte:"),
        ("revision: \"1\"\n", "revision: \"1\"\nextra: 1\n"),
        ("task: pin-and-pressure", "task: Pin And Pressure"),
        ("unit: psi", "unit: bars"),
        ("unit: psi", "unit: degC"),
        ("reading: pressure", "reading: presure"),
        ("resolution: 1\n", "resolution: 0\n"),
        ("resolution: 1\n", "resolution: one\n"),
        ("limits: {min: -20, max: 50}", "limits: {}"),
        ("limits: {min: -20, max: 50}", "limits: {min: -20, max: 50, over: temperature}"),
        ("limits: {min: -20, max: 50}", "limits: {min: cold}"),
        ("- {at: 50, min: 3000, max: 3300}", "- {at: 50}"),
        ("expect: {confirm: pin fitted}", "expect: {confirm: Pin}"),
        ("expect: {confirm: pin fitted}", "expect: {conform: pin}"),
        ("expect: {confirm: pin fitted}", "expect: {confirm: a, identity: b}"),
        ("values: [fitted, removed]", "values: [removed]"),
        ("sets: {pin: fitted}", "sets: {Safety pin: fitted}"),
        ("instruction: Open the cover.", "instruction: " + "word " * 21),
        ("instruction: Open the cover.", "warning: Mind the valve."),
        ("calibrated: true", "calibrated: maybe"),
        ("expect: {confirm: pin fitted}", "expect: {confirm: pin fitted, doubles: true}"),
        ("sets: {cover: closed}", "sets: {cover: closed}\n    wait: {since: fit-pin}"),
        (
            "sets: {cover: closed}",
            "sets: {cover: closed}\n    wait: {since: fit-pin, at_least: soon}",
        ),
        ("sets: {cover: closed}", "sets: {cover: closed}\n    deferral: {go: end}"),
        ("sets: {cover: closed}", "sets: {cover: closed}\n    then: {done: {to: end}}"),
        ("sets: {cover: closed}", "sets: {cover: closed}\n    counts_out: {ties: 0}"),
        ("needs: {cover: open}", "needs: {cover: {nor: closed}}"),
        ("limits: {min: -20, max: 50}", "limits: {of: {sum: [this, a]}}"),
        (
            "limits: {min: -20, max: 50}",
            "limits: {of: {sum: [this, a], spread: [this, a]}, max: 1}",
        ),
        (
            "limits: {min: -20, max: 50}",
            "limits: {torque: {min: 1 N.m}, wrench: {min: 1 N.m, max: 9 N.m}}",
        ),
        (
            "limits: {min: -20, max: 50}",
            "limits: {gas: argon, over: a, over_unit: degC, scale: psi gauge, "
            "fill: {at: 20 degC, min: 1 psi}}",
        ),
        (
            "limits: {min: -20, max: 50}",
            "limits: {gas: nitrogen, over: a, over_unit: degC, scale: psi, "
            "fill: {at: 20 degC, min: 1 psi}}",
        ),
    ],
)  # fmt: skip
def test_a_broken_task_is_not_valid_and_check_refuses_it_too(old: str, new: str) -> None:
    assert SMALL.count(old) >= 1
    broken = SMALL.replace(old, new, 1)
    assert complaints(broken)
    with pytest.raises(TaskFileError):
        read_task(broken, "t.yaml")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("steps:", "steps:\n  - id: temperature\n    instruction: Look."),
        ("{min: -20, max: 50}", "{min: 50, max: -20}"),
        ("{min: -20, max: 50}", "{min: -30, max: 50}"),
        ("{min: -20, max: 50}", "{min: 0.2, max: 0.8}"),
        (
            "{min: -20, max: 50}",
            "{torque: {min: 1 N.m, max: 2 N.m}, wrench: {min: 5 N.m, max: 50 N.m}}",
        ),
        ("resolution: 10\n", "resolution: 10\n      fractions: true\n"),
        ("confirm: cover open", "confirm: affirm"),
        ("start: removed", "start: gone"),
        ("    expect: {confirm: cover open}\n", ""),
        ("sets: {cover: closed}", "sets: {cover: closed}\n    then: {late: end}"),
        ("instruction: Fit the pin.", "instruction: Fit the <name> pin."),
        ("calibrated: true", "calibrated: true\n    calibration_due: 2031-02-30"),
        ("    sets: {pin: removed}\n", ""),
        ("unit: psi", "unit: &u psi"),
        ("task: ", "todo: compare\ntask: "),
    ],
)  # fmt: skip
def test_what_only_check_knows_is_valid_and_refused(old: str, new: str) -> None:
    """One mistake for each line of ONLY_CHECK_KNOWS; the comment of the schema says so."""
    assert SMALL.count(old) >= 1
    broken = SMALL.replace(old, new, 1)
    assert complaints(broken) == []
    with pytest.raises(TaskFileError):
        read_task(broken, "t.yaml")


def test_a_repeated_step_may_hold_marks_wherever_its_words_stand() -> None:
    """As the editor sees it: the step is not copied yet, and every place for words can hold one."""
    step = (
        "  - id: bolt\n    each: {bolt: [upper left, right]}\n    instruction: Fit <bolt>.\n"
        "    expect: {choose: [<bolt> bolt fits, <bolt> bolt lost]}\n"
        "    sets: {<bolt>-bolt: fitted}\n    then: {<bolt> bolt lost: find-<bolt>}\n"
    )
    assert complaints(SMALL + step) == []
    assert complaints(SMALL + step.replace("<bolt> bolt fits", "<Bolt> bolt fits"))
    assert complaints(SMALL.replace("called: cover", "called: <bolt>"))


def test_the_schema_says_what_it_does_not_know() -> None:
    for each in ONLY_CHECK_KNOWS:
        assert each in task_schema()["$comment"]


def objects(schema: Any) -> Iterator[dict[str, Any]]:
    if isinstance(schema, dict):
        if schema.get("type") == "object":
            yield schema
        for part in schema.values():
            yield from objects(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from objects(part)


def test_no_object_takes_a_key_that_is_not_described() -> None:
    found = list(objects(task_schema()))
    assert found
    for each in found:
        assert each["additionalProperties"] is False


def test_every_key_is_described() -> None:
    for each in objects(task_schema()):
        for key, value in each.get("properties", {}).items():
            assert value.get("description"), f"say in the model what '{key}' means"
            assert "title" not in value
