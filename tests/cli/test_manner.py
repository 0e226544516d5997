"""`run --manner`: how much is said."""

import json
from pathlib import Path

from typer.testing import CliRunner

from handsfree.cli.app import app
from tests.engine.conversation import BOTTLE


def test_a_brisk_run_says_less_and_the_record_tells_so(tmp_path: Path) -> None:
    task, record = tmp_path / "bottle.yaml", tmp_path / "r"
    task.write_text(BOTTLE)
    words = ["run", str(task), "--keyboard", "--record", str(record), "--manner", "brisk"]
    shown = CliRunner().invoke(app, words, input="pin fitted\n").output
    assert "The bottle takes the temperature of the air." in shown
    assert "Step two" not in shown
    begun = json.loads((record / "log.jsonl").read_text().splitlines()[1])
    assert begun["manner"] == "brisk"


def test_a_run_that_goes_on_keeps_its_manner() -> None:
    words = ["run", "--resume", "r", "--keyboard", "--manner", "full"]
    error = CliRunner().invoke(app, words).exception
    assert str(error) == "run: a run that goes on keeps its manner: leave --manner out."
