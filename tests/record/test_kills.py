import subprocess
import sys
from pathlib import Path

import pytest

KILLS = 30  # `python -m tests.benchmarks.kills` does 300


@pytest.mark.parametrize(
    ("apart", "least"), [(101, 5), pytest.param(23, 20, marks=pytest.mark.slow)]
)
def test_a_word_that_is_killed_at_any_moment_counts_whole_or_not_at_all(
    apart: int, least: int
) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.record.review_kills", str(apart)],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
    )
    print(done.stdout)
    assert done.returncode == 0, done.stderr
    counted = dict(line.split(": ", 1) for line in done.stdout.splitlines())
    assert int(counted["kills"]) > least
    assert int(counted["seen and not counted"]) > 0


@pytest.mark.slow
def test_a_run_that_is_killed_at_random_moments_loses_nothing_and_ends_the_same() -> None:
    """In a process of its own: forking pytest, with all its threads, would be another test."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.record.kills", str(KILLS)],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
    )
    print(done.stdout)
    assert done.returncode == 0, done.stderr
    counted = dict(line.split(": ", 1) for line in done.stdout.splitlines())
    assert int(counted["kills"]) >= KILLS
    assert counted["sentences acknowledged"].endswith("lost: 0")
