"""A pytest plugin: of all that is collected only the tests that are named, in their order.

Names on the command line would not do: a name may hold anything that a parameter holds.
"""

import json
import os
from pathlib import Path

import pytest

NAMED_IN = "MUTATION_ONLY"  # names the file, in the environment


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    named = json.loads(Path(os.environ[NAMED_IN]).read_text(encoding="utf-8"))
    place = {name: at for at, name in enumerate(named)}
    items[:] = [each for each in items if each.nodeid in place]
    items.sort(key=lambda each: place[each.nodeid])
