"""Nothing leaves the machine, and nothing is written but the record: whoever looks can see it.

The commands run in a network namespace (`packets_out.py`), with a home of their own.
"""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from demo.noise import RATE_HZ
from demo.people import voice_line
from demo.script import Line
from handsfree.task.roles import Headset
from tests.shipped_tasks import FOLDER

ROOT = Path(__file__).parents[1]
TASK = FOLDER / "accumulator-nitrogen.yaml"
UNSHARE = ("unshare", "--map-root-user", "--net")


def can_look() -> bool:
    if not (shutil.which("unshare") and shutil.which("ip")):
        return False
    return subprocess.call((*UNSHARE, "true"), stderr=subprocess.DEVNULL) == 0


needs_a_namespace = pytest.mark.skipif(
    not can_look(), reason="no network namespace can be made here (unshare and ip of iproute2)"
)


def packets_of(command: tuple[str, ...], home: Path) -> list[tuple[str, int]]:
    """What the command tries to send; it must end with 0 or 1, as a task that is not finished."""
    (home / "tmp").mkdir(parents=True)
    surroundings = {
        **{name: each for name, each in os.environ.items() if not name.startswith("XDG_")},
        "HOME": str(home),
        "TMPDIR": str(home / "tmp"),
    }
    done = subprocess.run(
        (*UNSHARE, sys.executable, "tests/packets_out.py", *command),
        cwd=ROOT,
        env=surroundings,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    return [(address, port) for address, port in json.loads(done.stderr.splitlines()[-1])]


def files_in(folder: Path) -> list[Path]:
    return [each for each in folder.rglob("*") if each.is_file()]


SAID = ("five three zero six zero four", "affirm", "no such thing")


def clips_of(times: int, folder: Path) -> Path:
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    folder.mkdir()
    for at, words in enumerate(SAID):
        sound = np.asarray(voice_line(Line(Headset.TECHNICIAN, words)))
        for again in range(times):
            soundfile.write(folder / f"{again}{at}-technician.wav", sound, RATE_HZ)
    return folder


@needs_a_namespace
def test_what_would_leave_is_seen(tmp_path: Path) -> None:
    """192.0.2.1 is TEST-NET-1 of RFC 5737: kept for documentation, so nobody is there."""
    code = "import socket; socket.socket(2, 2).sendto(b'?', ('192.0.2.1', 5300))"
    command = (sys.executable, "-c", code)
    assert packets_of(command, tmp_path / "home") == [("192.0.2.1", 5300)]


@needs_a_namespace
def test_a_look_up_of_a_name_is_seen(tmp_path: Path) -> None:
    code = "import socket; socket.socket(2, 2).sendto(b'?', ('127.0.0.53', 53))"
    command = (sys.executable, "-c", code)
    assert packets_of(command, tmp_path / "home") == [("127.0.0.53", 53)]


@needs_a_namespace
@pytest.mark.parametrize(
    ("voice", "times"),
    [
        ("built-in", 1),
        *(pytest.param(voice, 3, marks=pytest.mark.slow) for voice in ("built-in", "natural")),
    ],
)
def test_a_run_with_hearing_voice_and_board_sends_nothing_and_leaves_only_its_record(
    tmp_path: Path, voice: str, times: int
) -> None:
    clips = clips_of(times, tmp_path / "clips")
    home, record = tmp_path / "home", tmp_path / "record"
    command = (
        *(sys.executable, "-m", "handsfree", "run", str(TASK), "--clips", str(clips)),
        *("--record", str(record), "--speech-file", str(tmp_path / "speech.wav")),
        *("--voice", voice, "--board", "--board-port", "0"),
    )
    assert packets_of(command, home) == []
    assert files_in(home) == []
    heard = [json.loads(line) for line in (record / "log.jsonl").read_text().splitlines()]
    count = len(SAID) * times
    assert sum(each["kind"] == "heard" for each in heard) == count  # the networks were at work


def test_telemetry_is_off_before_any_module_of_ours_can_load_onnx_runtime() -> None:
    code = (
        "import handsfree, os, sys; "
        "print(os.environ['ORT_DISABLE_TELEMETRY'], 'onnxruntime' in sys.modules)"
    )
    surroundings = {**os.environ, "ORT_DISABLE_TELEMETRY": "0"}
    said = subprocess.check_output(
        [sys.executable, "-c", code], text=True, cwd=ROOT, env=surroundings
    )
    assert said == "1 False\n"
