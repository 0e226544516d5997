"""The first screen of a work summary, from which a stranger must be able to judge a run.

Six runs, and what each shows first: `first_screens/NAME.txt` holds the first 24 lines, which is the
height of a terminal, of the summary. To make them anew, run this file as a module; read the
difference before you keep it.
"""

import re
from importlib.metadata import version
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from handsfree.record.summary_text import as_text
from tests.record.six_runs import RUNS, summary_of

LINES = 24
SCREENS = Path(__file__).parent / "first_screens"


def first_screen(name: str, folder: Path) -> str:
    RUNS[name](folder)
    text = as_text(summary_of(folder)).replace(version("handsfree"), "VERSION")
    # One sentence more that the tool says would move them all.
    numbered = re.sub(r"entry [0-9]+", "entry N", text).splitlines()
    return "\n".join(numbered[:LINES]) + "\n"


def kept(name: str) -> Path:
    return SCREENS / f"{name.replace(' ', '-')}.txt"


@pytest.mark.parametrize("name", RUNS)
def test_the_first_screen_tells_the_run_apart(name: str, tmp_path: Path) -> None:
    assert first_screen(name, tmp_path / "run") == kept(name).read_text(encoding="utf-8")


if __name__ == "__main__":
    SCREENS.mkdir(exist_ok=True)
    with TemporaryDirectory() as made:
        for each in RUNS:
            kept(each).write_text(first_screen(each, Path(made) / each), encoding="utf-8")
