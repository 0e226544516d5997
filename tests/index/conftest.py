"""Records that many tests look at and none changes: the six short runs, and ten long ones."""

from pathlib import Path

import pytest

from handsfree.index.folders import records_below
from handsfree.index.noting import Noting, Trust
from handsfree.index.tables import Row
from tests.index.made import make
from tests.index.shelf import six_runs


@pytest.fixture(scope="session")
def six(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The six runs that a supervisor must tell apart, each in a folder by its name."""
    return six_runs(tmp_path_factory.mktemp("six"))


@pytest.fixture(scope="session")
def ten(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Ten runs of the long task; that of the seed 3 stands a long time at the right bolt."""
    root = tmp_path_factory.mktemp("ten")
    for seed in range(10):
        make(root / f"run-{seed}", seed)
    return root


@pytest.fixture(scope="session")
def rows_of_ten(ten: Path) -> dict[str, tuple[Row, ...]]:
    """What is noted of each of the ten."""
    noting = Noting(Trust())
    return {place.below.decode(): noting.note(place) for place in records_below(ten).places}
