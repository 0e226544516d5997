"""Files made to hurt: refused in so many words, before they grow."""

import pytest
import yaml

from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from tests.task.faults import READING, step, task

LAUGHS = "a: &a [x, x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{name}: &{name} [*{before}, *{before}, *{before}, *{before}, *{before}, *{before}]\n"
    for before, name in zip("abcdefgh", "bcdefghi", strict=True)
)


def complaint(text: str) -> str:
    with pytest.raises(TaskFileError) as caught:
        read_task(text, "t.yaml")
    return str(caught.value)


def test_a_billion_laughs_are_refused_at_the_first_anchor() -> None:
    assert complaint(LAUGHS) == (
        "t.yaml:1:4: anchors and aliases (& and *) are not allowed. Write the value out"
    )


def test_nothing_after_the_first_anchor_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[object] = []
    get_event = yaml.SafeLoader.get_event

    def counted(loader: yaml.SafeLoader) -> object:
        read.append(get_event(loader))  # type: ignore[no-untyped-call] # yaml has no types here
        return read[-1]

    monkeypatch.setattr(yaml.SafeLoader, "get_event", counted)
    complaint(LAUGHS)
    assert len(read) < 6  # stream, document, mapping, its key


def test_ten_megabytes_are_refused_before_they_are_parsed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(yaml, "compose", None)
    assert complaint("# " + "x" * 10_000_000) == (
        "t.yaml:1:1: the file has 10,000,002 characters. A task has at most 1,000,000"
    )


def test_only_the_first_hundred_of_very_many_mistakes_are_told() -> None:
    lines = complaint(task(step("look"), more="never: [" + "a, " * 5_000 + "]\n")).splitlines()
    assert len(lines) == 101
    assert lines[-1] == "t.yaml: and 4,900 more. Mend these first"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("a: *b", "t.yaml:1:4: anchors and aliases (& and *) are not allowed. Write the value out"),
        ("a: {<<: {b: c}}", "t.yaml:1:1: unknown key 'a'. "),
        ("a: !!python/object/apply:os.system [ls]", "t.yaml:1:1: unknown key 'a'. "),
        ("{a: 1, a: 2}", "t.yaml:1:8: key 'a' is written twice, first in line 1. Keep one of them"),
        ("a: b\n---\na: b", "t.yaml:2:1: not YAML: but found another document. Mend the line "),
        ("a: " + "[" * 31 + "]" * 31, "t.yaml:1:34: nested deeper than 30 levels. "),
        ("a: " + "[" * 900_000, "t.yaml:1:34: nested deeper than 30 levels. "),
        ("? " * 400_000, "t.yaml:1:63: nested deeper than 30 levels. "),
    ],
)
def test_yaml_that_no_task_needs_is_refused(text: str, told: str) -> None:
    assert complaint(text).startswith(told)


@pytest.mark.parametrize("number", ["nan", ".nan", "inf", "-inf", ".inf", "Infinity", "sNaN"])
def test_a_number_that_is_none_is_refused(number: str) -> None:
    told = complaint(task(step("look", "", READING.replace("min: 0", f"min: {number}"))))
    assert told.startswith(f"t.yaml:11:72: '{number}' is no number. ")


@pytest.mark.parametrize("number", ["1e999999999", "1e-999999999", "9" * 5_000, "1e5000"])
def test_a_number_that_would_fill_the_memory_is_refused(number: str) -> None:
    """An exact comparison would write out all of its figures."""
    for part in ("min: 0", "max: 40", "resolution: 1"):
        name = part.split(":")[0]
        told = complaint(task(step("look", "", READING.replace(part, f"{name}: {number}"))))
        assert "has more than 18 figures" in told
    other = READING.replace(
        "limits", f"other_scales: [{{unit: degF, resolution: {number}}}], limits"
    )
    assert "has more than 18 figures" in complaint(task(step("look", "", other)))


def test_a_unit_that_is_none_is_refused() -> None:
    assert complaint(task(step("look", "", READING.replace("degC", "K")))) == (
        "t.yaml:11:36: unknown unit 'K'. For temperature write one of degC, degF"
    )
