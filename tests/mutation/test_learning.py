"""Which tests are tried for a change, and in which order."""

from pathlib import Path

from tests.mutation.learning import Learnt, by_file
from tests.mutation.mutants import Mutant

FAR, NEAR = "tests/words/test_far.py", "tests/words/test_sounds.py"
SECONDS = {
    f"{FAR}::test_quick": 0.01,
    f"{FAR}::test_slow": 3.0,
    f"{FAR}::test_quickest": 0.001,
    f"{NEAR}::test_near": 0.2,
    f"{NEAR}::test_near_and_slow": 2.0,
}
CHANGED = Mutant(Path("handsfree/words/sounds.py"), "", frozenset({7, 8}), "")


def tried(*runs: tuple[str, list[int]]) -> list[str]:
    tests = Learnt("words", SECONDS, {"handsfree/words/sounds.py": dict(runs)})
    return [each.partition("::")[2] for each in tests.of(CHANGED)]


def test_the_files_that_run_the_line_are_tried_the_quick_tests_first() -> None:
    assert tried((FAR, [6, 7]), (NEAR, [9])) == ["test_quickest", "test_quick", "test_slow"]


def test_what_runs_on_import_is_there_for_all_and_the_quick_tests_near_it_come_first() -> None:
    order = ["test_near", "test_quickest", "test_quick", "test_near_and_slow", "test_slow"]
    assert tried(("", [8])) == order


def test_a_line_that_no_test_runs_has_none() -> None:
    assert tried((FAR, [1])) == []


def test_what_was_learnt_of_all_is_kept_of_each_file_and_of_what_runs_on_import() -> None:
    found = {
        "seconds": {f"{FAR}::test_quick": 0.01, f"{NEAR}::test_near": 0.2},
        "failed": [f"{NEAR}::test_near_and_slow"],
        "runs": {"sounds.py": {FAR: [7], "": [1]}, "units.py": {NEAR: [3]}},
    }
    assert by_file(found, [FAR, NEAR]) == {
        FAR: {
            "seconds": {f"{FAR}::test_quick": 0.01},
            "failed": [],
            "runs": {FAR: {"sounds.py": [7]}, "": {"sounds.py": [1]}},
        },
        NEAR: {
            "seconds": {f"{NEAR}::test_near": 0.2},
            "failed": [f"{NEAR}::test_near_and_slow"],
            "runs": {NEAR: {"units.py": [3]}, "": {"sounds.py": [1]}},
        },
    }
