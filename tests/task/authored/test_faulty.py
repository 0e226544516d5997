"""What `check` sees of forty faulty files: each fault at its line, and nothing that follows.

`python -m tests.task.authored.test_faulty` prints the count for RESULTS.md.
"""

from collections import Counter
from dataclasses import dataclass

import pytest

from handsfree.rehearse import warnings_about
from handsfree.task.checks.advice import advise
from handsfree.task.checks.answers import answers
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_and_prove
from tests.task.authored.faulty import FAULTS, TEXTS, Fault


@dataclass(frozen=True)
class Told:
    """One thing that `check` tells."""

    line: int
    what: str
    refused: bool


def told(text: str) -> list[Told]:
    """All that `check` tells of a file."""
    try:
        task, _, source = read_and_prove(text, "t.yaml")
    except TaskFileError as error:
        return [Told(p.line, p.describe("t.yaml").split("\n")[0], True) for p in error.problems]
    sounds = warnings_about(task, source)
    warnings = [*advise(task, source), *(each.problem for each in sounds if not each.fails)]
    left = answers(task, source, warnings).left
    return [
        *(Told(each.problem.line, each.line, True) for each in sounds if each.fails),
        *(Told(each.line, each.advise("t.yaml"), False) for each in left),
    ]


def test_the_tasks_without_a_fault_are_in_order() -> None:
    assert [told(text) for text in TEXTS.values()] == [[], []]


def test_there_are_as_many_of_each_kind_as_the_results_say() -> None:
    assert Counter(each.kind for each in FAULTS.values()) == {
        "form": 14,
        "meaning": 16,
        "practice": 10,
    }


@pytest.mark.parametrize("fault", FAULTS.values(), ids=FAULTS)
def test_the_fault_is_told_at_its_line_and_nothing_else_is(fault: Fault) -> None:
    found = told(fault.text)
    assert [each.line for each in found] == [fault.line], "\n".join(e.what for e in found)
    assert fault.told in found[0].what
    assert found[0].refused or fault.kind == "practice"
    for foreign in ("input", "dictionary", "tuple", "pydantic", "validation"):
        assert foreign not in found[0].what.lower()


def main() -> None:
    """Count what is told where."""
    print("| kind | files | refused at the right line | warned at the right line | otherwise |")
    print("| --- | --- | --- | --- | --- |")
    for kind in ("form", "meaning", "practice"):
        of_kind = [each for each in FAULTS.values() if each.kind == kind]
        right = [(each, told(each.text)) for each in of_kind]
        refused = sum(bool(t) and t[0].refused and t[0].line == f.line for f, t in right)
        warned = sum(bool(t) and not t[0].refused and t[0].line == f.line for f, t in right)
        other = len(of_kind) - refused - warned
        print(f"| {kind} | {len(of_kind)} | {refused} | {warned} | {other} |")


if __name__ == "__main__":
    main()
