"""Which files of tests are tried alone before all others."""

from pathlib import Path

from tests.mutation.promising import Promising

MODULE, SISTER = Path("handsfree/words/sounds.py"), Path("handsfree/words/units.py")
NAMES = [f"tests/words/test_{each}.py::test_it" for each in ("a", "b", "c", "sounds", "d")]


def tried(promising: Promising) -> list[str]:
    first, others = promising.split(MODULE, NAMES)
    assert [each for each in NAMES if each in first] == first
    assert [each for each in NAMES if each not in first] == others
    return [each.removeprefix("tests/words/test_").partition(".")[0] for each in first]


def test_what_is_about_the_module_is_tried_and_then_what_comes_first() -> None:
    assert tried(Promising()) == ["a", "b", "sounds"]


def test_what_noticed_a_change_of_the_folder_is_tried_and_of_the_module_before_all() -> None:
    promising = Promising()
    promising.noticed(SISTER, "tests/words/test_d.py")
    assert tried(promising) == ["a", "sounds", "d"]
    for file in "abc":
        promising.noticed(MODULE, f"tests/words/test_{file}.py")
    assert tried(promising) == ["a", "b", "c"]
