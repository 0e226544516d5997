"""No input of a stranger ends in a traceback, a hang, memory without end or something lost.

The same seeds each time, so that a failure is not of chance; `python -m tests.fuzz` tries others.
"""

from pathlib import Path

import pytest

from tests.fuzz.family import Verdict
from tests.fuzz.judge import FAMILIES, judged

SEEDS = {
    "tasks": 25,
    "rosters": 100,
    "equipment lists": 150,
    "data modules": 60,
    "clips": 150,
    "model packages": 60,
    "log entries": 60,
    "typed lines": 60,
    "board requests": 100,
    "records heard anew": 40,
    "sounds of a place": 40,
}


@pytest.mark.parametrize("name", FAMILIES)
def test_every_input_is_taken_or_refused_in_words(tmp_path: Path, name: str) -> None:
    family = FAMILIES[name](tmp_path)
    try:
        found = judged(family, range(SEEDS[name]))
    finally:
        family.close()
    assert found.wrong == []
    assert found.tried == SEEDS[name]
    assert found.counts[Verdict.REFUSED] > 0
    assert found.counts[Verdict.TAKEN] > 0
