"""Stand-ins for modules, put before the real ones for this process and its voice process."""

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest


@pytest.fixture
def stand_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[[str, str], None]]:
    """`stand_in(name, code)` makes `import name` run `code` until the test ends."""
    folder = tmp_path / "stand_ins"
    folder.mkdir()
    monkeypatch.syspath_prepend(folder)

    def place(name: str, code: str) -> None:
        monkeypatch.delitem(sys.modules, name, raising=False)
        (folder / f"{name}.py").write_text(code)

    yield place
    # What was imported meanwhile is a stand-in too.
    for path in folder.glob("*.py"):
        sys.modules.pop(path.stem, None)
