"""From microphone to voice: a whole task over a sound server, with a person in another process.

In real time, about half a minute; nearly all of it is waiting for speech to be played.
"""

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from demo.noise import RATE_HZ, hangar_noise, mix_at_snr
from demo.people import voice_line
from demo.script import Line
from handsfree.task.roles import Headset
from tests.live.pulse import NoSoundServer, sound_server

pytestmark = pytest.mark.slow
ROOT = Path(__file__).parents[2]
SNR_DB = 20.0

TASK = """\
task: gauge
title: Read a gauge
revision: "1"
notice: Invented.
approved_data: {reference: QX 1, revision: "1"}
applicability: {aircraft: Any 1, component: bottle}
steps:
  - id: hose
    instruction: Fit the hose.
    expect: {confirm: charging hose fitted}
  - id: pressure
    instruction: Read the pressure.
    expect: {reading: pressure, unit: bar, resolution: 1, limits: {min: 60, max: 70}}
"""
SAID = ("charging hose fitted", "pressure five eight bar", "pressure six five bar", "affirm")


@pytest.fixture(scope="module")
def server() -> Iterator[dict[str, str]]:
    try:
        with sound_server() as environment:
            yield environment
    except NoSoundServer as error:
        pytest.skip(str(error))


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    folder = tmp_path_factory.mktemp("said")
    rng = np.random.default_rng(7)
    paths = []
    for at, words in enumerate(SAID):
        voice = voice_line(Line(Headset.TECHNICIAN, words))
        path = folder / f"{at}.wav"
        noise = hangar_noise(len(voice) / RATE_HZ, rng)
        soundfile.write(path, mix_at_snr(voice, noise, SNR_DB), RATE_HZ)
        paths.append(path)
    return paths


def test_a_task_is_done_from_microphone_to_voice(
    server: dict[str, str], clips: list[Path], tmp_path: Path
) -> None:
    try:
        import sounddevice  # noqa: F401 - only whether it can be loaded
    except OSError as error:
        pytest.skip(f"PortAudio is not installed ({error})")
    task, record = tmp_path / "task.yaml", tmp_path / "record"
    task.write_text(TASK)
    command = [sys.executable, "-c", "from handsfree.cli.app import main; main()", "run", str(task)]
    command += ["--record", str(record), "--device", "pulse"]
    person = [sys.executable, "-m", "tests.live.person", str(record / "log.jsonl")]
    # The person waits for the voice, so it may come first.
    with subprocess.Popen([*person, *map(str, clips)], env=server, cwd=ROOT) as other:
        try:
            done = subprocess.run(
                command,
                env=server,
                capture_output=True,
                text=True,
                cwd=ROOT,
                timeout=120,
                check=False,
            )
        finally:
            other.kill()
    assert done.returncode == 0, done.stdout + done.stderr
    entries = [json.loads(line) for line in (record / "log.jsonl").read_text().splitlines()]
    taken = [
        (each["value"], each["verdict"]) for each in entries if each["kind"] == "reading-taken"
    ]
    assert taken == [("58", "below minimum"), ("65", "inside limits")]
    assert any(each["kind"] == "task-ended" for each in entries)
    heard = [each for each in entries if each["kind"] == "heard"]
    assert {each["source"] for each in heard} == {"technician"}
    assert all((record / "clips" / f"{each['clip']}.flac").exists() for each in heard)
    assert not [each for each in entries if each["kind"] == "hearing-lost"]
