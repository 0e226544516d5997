"""`handsfree run`, live, where the voice cannot be heard: nothing is taken for heard."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from handsfree.cli.app import app
from handsfree.hearing.live.microphone import Block
from handsfree.running.live import Headsets
from handsfree.speaking.silent import SilentSpeaker
from handsfree.speaking.steady import SteadySpeaker
from tests.engine.conversation import BOTTLE
from tests.live.fakes import Arrays, Clock, EndOfSound, Hears, silence


class UntilInterrupted(Arrays):
    """Gives its sound; then somebody presses Ctrl-C."""

    def read(self, timeout_s: float) -> Block | None:
        try:
            return super().read(timeout_s)
        except EndOfSound:
            raise KeyboardInterrupt from None


def test_a_live_run_that_nobody_hears_waits_at_its_first_step(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    task, record = tmp_path / "bottle.yaml", tmp_path / "record"
    task.write_text(BOTTLE)
    voice = SteadySpeaker(SilentSpeaker(), "there is no sound device")
    microphone = UntilInterrupted(Clock(), *silence(20))
    monkeypatch.setattr("handsfree.hearing.opening.open_recognizer", lambda: Hears("pin fitted"))
    monkeypatch.setattr("handsfree.running.live.open_speaker", lambda *_, **__: voice)
    monkeypatch.setattr(Headsets, "microphones", lambda _: (microphone,))
    done = CliRunner().invoke(app, ["run", str(task), "--record", str(record)])
    assert done.exit_code == 1, done.output
    log = [json.loads(line) for line in (record / "log.jsonl").read_text().splitlines()]
    kinds = [each["kind"] for each in log]
    assert "voice-lost" in kinds
    assert kinds.index("stood-by") > kinds.index("voice-lost")
    assert log[kinds.index("stood-by")]["reason"] == "could not speak: there is no sound device"
