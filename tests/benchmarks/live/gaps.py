"""From the last sound of a person to the first sample of the answer, through a sound server.

The whole program runs on PulseAudio, and the demo's technician answers it, in the noise of the
hangar. Voice and person are recorded as two channels of one stream, so the gap between them is read
from the recording and owes nothing to what the program says of itself. In real time.
"""

import json
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from demo.noise import RATE_HZ, hangar_noise
from demo.people import voice_line
from demo.script import Line
from handsfree.hearing.audio import Samples
from handsfree.task.roles import Headset
from tests.benchmarks.live.onsets import last_sound
from tests.benchmarks.live.streams import SEED, SPEECH_RMS
from tests.benchmarks.speech import Clip
from tests.live.pulse import NoSoundServer, sound_server

_SNR_DB = 20.0
_AUDIBLE = 0.003  # of full scale: the first sample of the voice that somebody could hear
_ANSWERS_AFTER_S = (0.3, 0.8)  # when the tool has finished
_LONGEST_S = 8.0  # an answer that has not come by then was none
_PROGRAMS = {
    "before": [sys.executable, "-m", "tests.benchmarks.live.as_before"],
    "now": [sys.executable, "-c", "from handsfree.cli.app import main; main()"],
}

WORDS, WITH_UNIT, WITHOUT_UNIT = (
    "standard words and confirmations",
    "readings with unit",
    "readings without unit, serial numbers",
)
_CONFIRMED = (
    *("actuator pin fitted", "bottle pin fitted", "arming lever safe", "door held open"),
    *("pack on hooks", "cable connected", "door path clear", "both clips closed"),
)
_READ = (
    ("pressure", "psi", 10, 2800, 3200, "pressure two niner eight zero p s i"),
    ("temperature", "degC", 1, -20, 50, "temperature two one degrees"),
    ("torque", "N.m", "0.5", 20, 30, "two four newton metres"),
    ("pressure", "bar", 1, 150, 230, "pressure two zero four bar"),
    ("torque", "N.m", "0.5", 20, 30, "two three decimal five newton metres"),
    ("pressure", "psi", 10, 2800, 3200, "three zero five zero p s i"),
    ("pressure", "psi", 10, 2800, 3200, "pressure two niner six zero"),
    ("pressure", "bar", 1, 150, 230, "one niner eight"),
    ("count", "each", 1, 3, 8, "count five"),
    ("pressure", "psi", 10, 2800, 3200, "two niner one zero"),
)
_SERIALS = (
    ("serial number", "207B", "serial number two zero seven bravo"),
    ("part number", "VK4086", "victor kilo four zero eight six"),
    ("wrench number", "TA31", "wrench number tango alfa three one"),
)


@dataclass(frozen=True, slots=True)
class _Said:
    words: str
    kind: str


def answers() -> tuple[str, tuple[_Said, ...]]:
    """A task of one person, and what they say to it."""
    steps, said = [], list[_Said]()
    affirm = _Said("affirm", WORDS)
    for number, phrase in enumerate(_CONFIRMED):
        steps.append(
            f"  - id: c{number}\n    instruction: Do it.\n    expect: {{confirm: {phrase}}}"
        )
        said.append(_Said(phrase, WORDS))
    for number, (quantity, unit, step, low, high, words) in enumerate(_READ):
        steps.append(
            f"  - id: r{number}\n    instruction: Read it.\n    expect: {{reading: {quantity}, "
            f"unit: {unit}, resolution: {step}, limits: {{min: {low}, max: {high}}}}}"
        )
        has_unit = words.split()[-1] in ("i", "degrees", "metres", "bar")
        said += [_Said(words, WITH_UNIT if has_unit else WITHOUT_UNIT), affirm]
    for number, (name, accept, words) in enumerate(_SERIALS):
        steps.append(
            f"  - id: s{number}\n    instruction: Read it.\n"
            f"    expect: {{identity: {name}, accept: [{accept}]}}"
        )
        said += [_Said(words, WITHOUT_UNIT), affirm]
    head = 'task: gaps\ntitle: Gaps\nrevision: "1"\nnotice: Invented.\n'
    head += 'approved_data: {reference: QX 1, revision: "1"}\n'
    head += "applicability: {aircraft: Any 1, component: bottle}\nsteps:\n"
    return head + "\n".join(steps) + "\n", tuple(said)


def gaps(_: Sequence[Clip]) -> None:
    """A table of the gaps before and now, and histograms. The people have lines of their own."""
    folder = Path(tempfile.mkdtemp(prefix="gaps-"))
    print(f"The recordings: {folder}/before.wav and now.wav, the voice left, the person right.\n")
    print("| listening | said | times | last sound to first sample ms median | p95 |")
    print("|" + " --- |" * 5)
    found: dict[str, list[tuple[_Said, float]]] = {}
    try:
        for name in _PROGRAMS:
            (folder / name).mkdir()
            found[name] = _run(name, folder / name)
            _print_table(name, found[name])
    except NoSoundServer as error:
        print(f"Not measured, {error}.")
        return
    print()
    for name, measured in found.items():
        print(f"{name}:")
        print(histogram([gap for _, gap in measured]))


def _print_table(name: str, measured: Sequence[tuple[_Said, float]]) -> None:
    for kind in (WORDS, WITH_UNIT, WITHOUT_UNIT):
        ms = sorted(1000 * gap for said, gap in measured if said.kind == kind)
        p95 = statistics.quantiles(ms, n=20, method="inclusive")[-1]
        print(
            f"| {name} | {kind} | {len(ms)} | {statistics.median(ms):.0f} | {p95:.0f} |", flush=True
        )


def histogram(gaps_s: Sequence[float], width_ms: int = 100) -> str:
    """Lines of text, one for each `width_ms`."""
    counts: dict[int, int] = {}
    for each in gaps_s:
        at = int(1000 * each) // width_ms
        counts[at] = counts.get(at, 0) + 1
    lines = [
        f"{width_ms * at:5} to {width_ms * (at + 1):4} ms {'#' * counts.get(at, 0)}"
        for at in range(min(counts), max(counts) + 1)
    ]
    return "\n".join(lines)


def _run(name: str, folder: Path) -> list[tuple[_Said, float]]:
    text, said = answers()
    task, record, sound = folder / "task.yaml", folder / "record", folder.parent / f"{name}.wav"
    task.write_text(text, encoding="utf-8")
    voices = _voices(said, folder)
    noise = hangar_noise(60.0, np.random.default_rng(SEED))
    level = SPEECH_RMS / 10 ** (_SNR_DB / 20) / float(np.sqrt(np.mean(noise.astype(float) ** 2)))
    soundfile.write(folder / "noise.wav", np.tile(noise * np.float32(level), 20), RATE_HZ)
    with sound_server(together=True) as environment:
        listen = ["parecord", "--device=both.monitor", f"--rate={RATE_HZ}", "--channels=2"]
        listen += ["--format=s16le", "--file-format=wav", "--latency-msec=50", str(sound)]
        play = ["paplay", "--device=hangar", str(folder / "noise.wav")]
        command = [*_PROGRAMS[name], "run", str(task), "--record", str(record)]
        quiet = subprocess.DEVNULL
        with (
            subprocess.Popen(listen, env=environment) as recorder,
            subprocess.Popen(play, env=environment) as hangar,
            subprocess.Popen(
                [*command, "--device", "pulse"], env=environment, stdout=quiet, stderr=quiet
            ) as program,
        ):
            paths = [path for path, _ in voices]
            spoken = _answered(environment, record / "log.jsonl", paths, program)
            program.wait(timeout=60)
            hangar.terminate()
            recorder.terminate()
    print(
        f"{name}: {_ended(record)}, {soundfile.info(sound).duration:.0f} s in all", file=sys.stderr
    )
    heard, rate_hz = soundfile.read(sound, dtype="float32")
    assert rate_hz == RATE_HZ
    clips = {path: (samples, each) for (path, samples), each in zip(voices, said, strict=True)}
    return _measured(heard[:, 0], heard[:, 1], [clips[each] for each in spoken])


def _voices(said: Sequence[_Said], folder: Path) -> list[tuple[Path, Samples]]:
    voices = []
    for at, each in enumerate(said):
        samples = voice_line(Line(Headset.TECHNICIAN, each.words))
        level = float(np.sqrt(np.mean(samples[samples != 0].astype(float) ** 2)))
        samples = samples * np.float32(SPEECH_RMS / level)
        path = folder / f"{at:02d}.wav"
        soundfile.write(path, samples, RATE_HZ)
        voices.append((path, samples))
    return voices


def _answered(
    environment: Mapping[str, str],
    log: Path,
    clips: Sequence[Path],
    program: "subprocess.Popen[bytes]",
) -> list[Path]:
    """The clips in the order in which they were spoken, those that were asked for again too."""
    spoken: list[Path] = []
    turns, at, draw = 0, 0, random.Random(SEED)
    while program.poll() is None:
        kinds = _kinds(log)
        if kinds.count("spoken") == turns:
            time.sleep(0.02)
            continue
        turns = kinds.count("spoken")
        since_heard = kinds[len(kinds) - kinds[::-1].index("heard") :] if "heard" in kinds else []
        if "not-heeded" in since_heard and at:
            at -= 1
        if at == len(clips):
            break
        time.sleep(draw.uniform(*_ANSWERS_AFTER_S))
        spoken.append(clips[at])
        play = ["paplay", "--device=hangar", str(clips[at])]
        subprocess.run(play, env=environment, check=True)
        at += 1
    return spoken


def _kinds(log: Path) -> list[str]:
    if not log.exists():
        return []
    lines = log.read_text(encoding="utf-8").splitlines()
    return [json.loads(line)["kind"] for line in lines if line.endswith("}")]


def _ended(record: Path) -> str:
    entries = [json.loads(line) for line in (record / "log.jsonl").read_text().splitlines()]
    heard = sum(each["kind"] == "heard" for each in entries)
    done = any(each["kind"] == "task-ended" for each in entries)
    refused = sum(each["kind"] in ("not-heeded", "reading-refused") for each in entries)
    end = "ended" if done else "broke off"
    return f"{heard} utterances heard, {refused} not taken, the task {end}"


def _measured(
    voice: Samples, person: Samples, spoken: Sequence[tuple[Samples, _Said]]
) -> list[tuple[_Said, float]]:
    found, begin = [], 0
    for samples, said in spoken:
        start = begin + _place(person[begin:], samples)
        end = start + last_sound(samples)
        answer = np.flatnonzero(np.abs(voice[end : end + round(_LONGEST_S * RATE_HZ)]) > _AUDIBLE)
        if len(answer):
            found.append((said, float(answer[0]) / RATE_HZ))
        begin = start + len(samples)
    return found


def _place(sound: Samples, clip: Samples) -> int:
    """Where `clip` is in `sound`, the first time that it is there as a whole."""
    size = 1 << (len(sound) + len(clip)).bit_length()
    spectrum = np.fft.rfft(sound, size) * np.conj(np.fft.rfft(clip, size))
    likeness = np.fft.irfft(spectrum, size)[: len(sound)]
    there = np.flatnonzero(likeness > 0.7 * float(np.sum(clip.astype(float) ** 2)))
    first = int(there[0])
    return first + int(np.argmax(likeness[first : first + RATE_HZ // 10]))
