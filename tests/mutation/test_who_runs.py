"""What a run of tests tells of the lines that it runs."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.mutation.learning import ROOT
from tests.mutation.who_runs import IMPORTING, WRITTEN_TO

MODULE, TESTS = "handsfree/task/roles.py", "tests/task/test_roles.py"


@pytest.mark.slow
def test_what_runs_as_a_module_is_imported_is_run_for_every_file_of_tests(tmp_path: Path) -> None:
    """Also where a `conftest.py` imports it, before any hook of the session."""
    written = tmp_path / "who.json"
    command = [sys.executable, "-m", "pytest", "-q", "-p", "tests.mutation.who_runs", TESTS]
    environment = {**os.environ, WRITTEN_TO: str(written)}
    subprocess.run(command, cwd=ROOT, env=environment, check=True, capture_output=True)
    runs = json.loads(written.read_text(encoding="utf-8"))["runs"][MODULE]
    lines = (ROOT / MODULE).read_text(encoding="utf-8").splitlines()
    (heading,) = (at for at, line in enumerate(lines, 1) if line.startswith("class Headset"))
    (called,) = (at for at, line in enumerate(lines, 1) if "number, _, source" in line)
    assert heading in runs[IMPORTING]
    assert called in runs[TESTS]
    assert called not in runs[IMPORTING]
