"""The changes of a mutation run are those that a test should notice."""

from pathlib import Path

import pytest

from tests.mutation.mutants import read_module

RULES = '''\
"""A module."""

from dataclasses import replace
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from rules import State

__all__ = ["taken"]
Name: TypeAlias = str | None


def taken(state: State, event: Event | None) -> State | None:
    """What is taken."""
    match event:
        case Ended():
            return None
        case Begun(step) if step in state.steps:
            state = replace(state, step=step, since=0)
    assert state.step
    pairs = zip(state.steps, state.steps, strict=True)
    if state.step is None:
        raise AssertionError("a step was begun")
    report(
        state,
    )
    return state
'''
ONE_CHANGE = {
    "a case left out": "-        case Ended():\n-            return None\n",
    "a guard that never holds": "+        case Begun(step) if (step in state.steps) and False:",
    "a field that is not set": "+            state = replace(state, step=step, )",
    "an assignment left out": "step=step, since=0)\n+            pass\n",
    "a call left out": "-    report(\n-        state,\n-    )\n+    pass",
    "nothing returned": "-    return state\n+    return None",
    "a number": "since=1",
}


@pytest.fixture
def diffs(tmp_path: Path) -> list[str]:
    (tmp_path / "rules.py").write_text(RULES, encoding="utf-8")
    module = read_module(tmp_path, Path("rules.py"))
    return [module.mutant(at).diff for at in range(len(module.changes))]


@pytest.mark.parametrize("change", ONE_CHANGE.values(), ids=ONE_CHANGE)
def test_it_is_among_the_changes(diffs: list[str], change: str) -> None:
    assert sum(change in each for each in diffs) == 1


@pytest.mark.parametrize(
    "line",
    ["__all__", "TypeAlias =", "TYPE_CHECKING", "def taken", "assert", "raise", "import", '"""'],
)
def test_what_does_nothing_in_a_run_is_not_changed(diffs: list[str], line: str) -> None:
    changed = [each for diff in diffs for each in diff.splitlines() if each.startswith("-")]
    assert not [each for each in changed if line in each]


def test_what_zip_takes_for_certain_is_not_changed(diffs: list[str]) -> None:
    changed = [
        line for diff in diffs for line in diff.splitlines() if line.startswith("+    pairs")
    ]
    assert all("strict=True" in each for each in changed)


def test_each_change_is_a_module_that_compiles(tmp_path: Path) -> None:
    (tmp_path / "rules.py").write_text(RULES, encoding="utf-8")
    module = read_module(tmp_path, Path("rules.py"))
    for at in range(len(module.changes)):
        mutant = module.mutant(at)
        assert mutant.code != RULES
        compile(mutant.code, "rules.py", "exec")


def test_a_change_is_in_the_lines_of_its_whole_statement(tmp_path: Path) -> None:
    """A tracer may count a call of several lines in its first one only."""
    (tmp_path / "rules.py").write_text(RULES, encoding="utf-8")
    module = read_module(tmp_path, Path("rules.py"))
    mutants = [module.mutant(at) for at in range(len(module.changes))]
    (call,) = [each.lines for each in mutants if ONE_CHANGE["a call left out"] in each.diff]
    first = RULES.splitlines().index("    report(") + 1
    assert call == {first, first + 1, first + 2}
