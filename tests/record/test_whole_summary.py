"""The whole work summary of six runs, word for word: `summaries/NAME.txt`.

What a record tells goes on where the first screen ends. To make the files anew after a change on
purpose, run this file as a module; read the difference before you keep it.
"""

import re
from importlib.metadata import version
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from handsfree.record.summary_text import as_text
from tests.record.six_runs import RUNS, summary_of

SUMMARIES = Path(__file__).parent / "summaries"


def whole(name: str, folder: Path) -> str:
    """The summary without what another version, or one sentence more, would change everywhere."""
    RUNS[name](folder)
    text = as_text(summary_of(folder)).replace(version("handsfree"), "VERSION")
    text = re.sub(r"\b[0-9a-f]{64}\b", "SHA-256", text)
    return re.sub(r"\b(entry|entries 0 to) [0-9]+", r"\1 N", text)


def kept(name: str) -> Path:
    """Where the summary of a run is kept."""
    return SUMMARIES / f"{name.replace(' ', '-')}.txt"


@pytest.mark.parametrize("name", RUNS)
def test_the_summary_tells_all_of_a_run(name: str, tmp_path: Path) -> None:
    assert whole(name, tmp_path / "run") == kept(name).read_text(encoding="utf-8")


if __name__ == "__main__":
    SUMMARIES.mkdir(exist_ok=True)
    with TemporaryDirectory() as made:
        for each in RUNS:
            kept(each).write_text(whole(each, Path(made) / each), encoding="utf-8")
