"""The core is pure: what it imports is checked in a fresh interpreter and in its source."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
CORE = ("words", "task", "engine")
SOURCES = sorted(path for part in CORE for path in (ROOT / "handsfree" / part).rglob("*.py"))
ALLOWED = {
    "handsfree.words",
    "handsfree.task",
    "handsfree.engine",
    "handsfree.errors",
    "handsfree.visible",
}
IMPURE = {"time", "os", "io", "random", "pathlib", "socket", "subprocess", "threading", "logging"}


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
    return names


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_the_core_imports_only_itself_and_nothing_impure(path: Path) -> None:
    for name in imported(path):
        if name.startswith("handsfree"):
            assert ".".join(name.split(".")[:2]) in ALLOWED
        assert name.split(".")[0] not in IMPURE


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_the_core_opens_no_file_and_prints_nothing(path: Path) -> None:
    called = {
        node.func.id
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not called & {"open", "print", "input"}


def test_the_core_loads_no_audio_speech_or_web_library() -> None:
    code = (
        "import sys\n"
        "import handsfree.engine.advance, handsfree.task.read\n"
        "heavy = {'numpy', 'ctranslate2', 'soundfile', 'pyttsx3', 'sounddevice', 'rich', 'pint'}\n"
        "print(sorted(heavy & set(sys.modules)))\n"
    )
    assert subprocess.check_output([sys.executable, "-c", code], text=True, cwd=ROOT) == "[]\n"


# The lowest floor first, as DEVELOPERS.md draws them. Two folders of one floor know nothing of each
# other.
FLOORS = (
    {"words"},
    {"task"},
    {"engine"},
    {"hearing", "speaking"},
    {"acoustics", "fleet"},
    {"record", "review", "authoring", "rehearse", "serving"},
    {"page", "rehear"},
    {"running", "board", "index"},
    {"cli"},
)
FOR_ALL = {"errors", "visible", "places", "files"}


@pytest.mark.parametrize("floor", range(len(FLOORS)), ids=lambda at: "+".join(sorted(FLOORS[at])))
def test_a_folder_imports_only_from_lower_floors(floor: int) -> None:
    lower = FOR_ALL.union(*FLOORS[:floor])
    for folder in FLOORS[floor]:
        for path in (ROOT / "handsfree" / folder).rglob("*.py"):
            names = {each.split(".")[1] for each in imported(path) if each.startswith("handsfree.")}
            assert names - {folder} <= lower, path


def test_every_folder_stands_on_a_floor_and_few_modules_at_the_root() -> None:
    package = ROOT / "handsfree"
    folders = {each.parent.name for each in package.glob("*/__init__.py")}
    assert folders == set().union(*FLOORS) | {"files"}
    assert len(list(package.glob("*.py"))) <= 6
