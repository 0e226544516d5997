"""From sound to log: a rendered voice does a whole task through the command line."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from demo.noise import RATE_HZ, hangar_noise, mix_at_snr
from demo.people import voice_line
from demo.script import Line
from demo.voices import Person

ROOT = Path(__file__).parents[1]
TASK = ROOT / "tasks" / "accumulator-nitrogen.yaml"
SNR_DB = 20.0

# One clip each; the reading below its limit is measured again.
SAID = (
    "five three zero six zero four",
    "affirm",
    "hydraulic pressure released",
    "minus five",
    "affirm",
    "charging hose fitted",
    "charging valve open",
    "pressure five eight bar",
    "pressure six five bar",
    "affirm",
    "valve closed tight",
    "charging hose removed",
)


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> Path:
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra demo-voice)")
    folder = tmp_path_factory.mktemp("clips")
    rng = np.random.default_rng(7)
    for at, words in enumerate(SAID):
        voice = voice_line(Line(Person.TECHNICIAN, words))
        noise = hangar_noise(len(voice) / RATE_HZ, rng)
        path = folder / f"{at:02d}-technician.wav"
        soundfile.write(path, mix_at_snr(voice, noise, SNR_DB), RATE_HZ)
    return folder


def test_a_task_is_done_from_sound_to_log(clips: Path, tmp_path: Path) -> None:
    record = tmp_path / "record"
    command = [
        *(sys.executable, "-c", "from handsfree.cli import main; main()"),
        *("run", str(TASK), "--clips", str(clips)),
        *("--record", str(record), "--speech-file", str(tmp_path / "speech.wav")),
    ]
    done = subprocess.run(
        command, capture_output=True, text=True, cwd=ROOT, timeout=300, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    entries = [json.loads(line) for line in (record / "log.jsonl").read_text().splitlines()]
    taken = [
        (each["value"], each["verdict"]) for each in entries if each["kind"] == "reading-taken"
    ]
    assert taken == [
        ("-5", "inside limits"),
        ("58", "below minimum"),
        ("65", "inside limits"),
    ]
    assert entries[-1]["kind"] == "spoken"  # the last sentence was said to its end
    heard = [each for each in entries if each["kind"] == "heard"]
    assert len(heard) == len(list(clips.iterdir()))
    for each in heard:
        assert (record / "clips" / f"{each['clip']}.flac").exists()
    assert soundfile.info(tmp_path / "speech.wav").duration > 10
    assert "handsfree     All eight steps are confirmed." in done.stdout


def test_hear_prints_one_object_a_clip_in_the_order_given(clips: Path, tmp_path: Path) -> None:
    missing = tmp_path / "missing.wav"
    paths = [clips / "08-technician.wav", missing, clips / "05-technician.wav"]
    command = [
        *(sys.executable, "-c", "from handsfree.cli import main; main()"),
        *("hear", "--task", str(TASK), "--step", "nitrogen-pressure", "--json", *map(str, paths)),
    ]
    done = subprocess.run(
        command, capture_output=True, text=True, cwd=ROOT, timeout=300, check=False
    )
    assert done.returncode == 1
    first, second, third = (json.loads(line) for line in done.stdout.splitlines())
    assert [each["clip"] for each in (first, second, third)] == [str(path) for path in paths]
    assert set(first) == {
        *("clip", "words", "digits", "value", "unit", "score", "accepted", "ms"),
    }
    assert (first["digits"], first["value"], first["unit"], first["accepted"]) == (
        "65",
        "65",
        "bar",
        True,
    )
    assert (second["accepted"], second["score"]) == (False, 0.0)
    assert "missing.wav: cannot be read (No such file or directory)" in second["error"]
    assert "missing.wav: cannot be read" in done.stderr
    assert third["accepted"] is False or third["digits"] is None
