"""From sound to log: a rendered voice does a whole task through the command line."""

import json
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
import soundfile

from demo.noise import RATE_HZ, hangar_noise, mix_at_snr
from demo.people import voice_line
from demo.script import Line
from handsfree.task.roles import Headset
from tests.shipped_tasks import FOLDER, ROSTER

ROOT = Path(__file__).parents[1]
TASK = FOLDER / "accumulator-nitrogen.yaml"
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
    "charging valve closed",
    "charging hose removed",
)


# What needs a second person and an inspector; what the two read differs once.
PEOPLE_TASK = """\
task: bottle
title: Check a bottle
revision: "1"
approved_data: {reference: QX 1, revision: "1"}
applicability: {aircraft: Any 1, component: bottle}
states:
  cable: {called: cable, values: [loose, connected], start: loose, end: connected}
steps:
  - id: pressure
    instruction: Read the pressure.
    expect: {reading: pressure, unit: bar, resolution: 1, limits: {min: 60, max: 70}}
    critical: true
    read_back: true
  - id: cable
    instruction: Connect the cable.
    expect: {confirm: cable connected}
    inspection: true
    sets: {cable: connected}
"""
PEOPLE_SAID = (
    Line(Headset.TECHNICIAN, "oscar alfa four one seven"),
    Line(Headset.TECHNICIAN, "affirm"),
    Line(Headset.SECOND_PERSON, "oscar alfa six zero eight"),
    Line(Headset.SECOND_PERSON, "affirm"),
    Line(Headset.TECHNICIAN, "pressure six five bar"),
    Line(Headset.SECOND_PERSON, "pressure six eight bar"),
    Line(Headset.TECHNICIAN, "pressure six eight bar"),
    Line(Headset.SECOND_PERSON, "pressure six eight bar"),
    Line(Headset.TECHNICIAN, "affirm"),
    Line(Headset.TECHNICIAN, "cable connected"),
    Line(Headset.INSPECTOR, "oscar alfa seven four four"),
    Line(Headset.INSPECTOR, "affirm"),
    Line(Headset.INSPECTOR, "inspected"),
)


def clips_of(lines: Sequence[Line], folder: Path) -> Path:
    """The lines as sound files, each named for the headset that it comes from."""
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    rng = np.random.default_rng(7)
    for at, line in enumerate(lines):
        voice = voice_line(line)
        noise = hangar_noise(len(voice) / RATE_HZ, rng)
        path = folder / f"{at:02d}-{line.headset.source}.wav"
        soundfile.write(path, mix_at_snr(voice, noise, SNR_DB), RATE_HZ)
    return folder


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> Path:
    said = [Line(Headset.TECHNICIAN, words) for words in SAID]
    return clips_of(said, tmp_path_factory.mktemp("clips"))


def test_a_task_is_done_from_sound_to_log(clips: Path, tmp_path: Path) -> None:
    record = tmp_path / "record"
    command = [
        *(sys.executable, "-c", "from handsfree.cli.app import main; main()"),
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


@pytest.mark.slow  # beside the one above, and the rules for several people in `tests/engine`
def test_two_people_and_an_inspector_do_a_task_from_sound_to_log(tmp_path: Path) -> None:
    task, folder, record = (tmp_path / each for each in ("task.yaml", "clips", "record"))
    task.write_text(PEOPLE_TASK)
    folder.mkdir()
    clips_of(PEOPLE_SAID, folder)
    handsfree = (sys.executable, "-c", "from handsfree.cli.app import main; main()")
    command = [
        *(*handsfree, "run", str(task), "--clips", str(folder), "--roster", str(ROSTER)),
        *("--record", str(record), "--speech-file", str(tmp_path / "speech.wav")),
    ]
    done = subprocess.run(
        command, capture_output=True, text=True, cwd=ROOT, timeout=300, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    entries = [json.loads(line) for line in (record / "log.jsonl").read_text().splitlines()]

    def logged(kind: str, *names: str) -> list[tuple[str, ...]]:
        found = (entry for entry in entries if entry["kind"] == kind)
        return [tuple(entry[name] for name in names) for entry in found]

    assert logged("person-identified", "role", "name") == [
        ("technician", "Tarn Osk"),
        ("second person", "Sefa Orrin"),
        ("inspector", "Enna Vesk"),
    ]
    assert logged("first-stated", "figures", "by") == [("65", "OA417"), ("68", "OA417")]
    assert logged("second-stated", "figures", "by") == [("68", "OA608"), ("68", "OA608")]
    assert logged("statements-differ", "first", "second") == [("65", "68")]
    assert logged("reading-taken", "value") == [("68",)]
    assert logged("inspection-passed", "step", "by") == [("cable", "OA744")]
    assert not logged("not-heeded", "reason")
    replayed = subprocess.run(
        [*handsfree, "replay", str(record)], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert replayed.returncode == 0, replayed.stdout + replayed.stderr


@pytest.mark.slow
def test_hear_prints_one_object_a_clip_in_the_order_given(clips: Path, tmp_path: Path) -> None:
    missing = tmp_path / "missing.wav"
    paths = [clips / "08-technician.wav", missing, clips / "05-technician.wav"]
    command = [
        *(sys.executable, "-c", "from handsfree.cli.app import main; main()"),
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
