"""What DEVELOPERS.md names is there: its modules, its folders, and the picture of the folders."""

import re
from pathlib import Path

from tests.test_boundaries import FLOORS

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PACKAGE = ROOT / "handsfree"


def test_every_module_that_is_named_is_there() -> None:
    there = [f"/{each.relative_to(ROOT)}" for each in ROOT.glob("*/**/*.py")]
    named = set(re.findall(r"`([\w/]+\.py)`", TEXT))
    assert len(named) > 80
    assert [each for each in named if not any(path.endswith(f"/{each}") for path in there)] == []


def test_every_folder_of_the_table_is_there_and_none_is_left_out() -> None:
    rows = re.findall(r"^\| `([\w/]+)` \|", TEXT, re.MULTILINE)
    assert [each for each in rows if not (PACKAGE / each).is_dir()] == []
    assert {each.parent.name for each in PACKAGE.glob("*/__init__.py")} == {
        each for each in rows if "/" not in each
    }


def test_the_picture_has_the_folders_of_each_floor_the_highest_first() -> None:
    picture = TEXT.partition("A folder imports only from lower floors.")[2].split("```")[1]
    lines = [set(re.sub(r"{[^}]*}", "", line).split()) for line in picture.splitlines() if line]
    assert len(lines) == len(FLOORS)
    for floor, line in zip(reversed(FLOORS), lines, strict=True):
        assert floor <= line  # beside them stands what they are about
