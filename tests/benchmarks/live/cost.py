"""What a run takes of the machine: processor and memory."""

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import soundfile

from demo.noise import hangar_noise
from handsfree.engine.advance import advance
from handsfree.engine.effects import Listen, Say
from handsfree.engine.phrases_now import phrases_now
from handsfree.hearing.audio import SAMPLE_RATE
from handsfree.running.parts import Utterance
from handsfree.running.voice_ahead import Foresight
from handsfree.speaking.ready import ReadyVoice, sentences
from handsfree.speaking.voice import Voice
from handsfree.task.read import read_task
from tests.benchmarks.live.ears import TASK, Paced, Unpaced, ear_on, listening_at
from tests.benchmarks.live.streams import SEED, noise_at, stream
from tests.benchmarks.speech import Clip
from tests.live.pulse import NoSoundServer, sound_server

WAITING_S = 30.0
_SETTLES_S = 5.0  # the prompts that may be needed next are made ready


def waiting(clips: Sequence[Clip]) -> None:
    """The processor while it waits in hangar noise: the ear alone, then the whole program."""
    task = read_task(TASK, "live.yaml")
    phrases = phrases_now(task, listening_at(task, "command"))
    noise = hangar_noise(WAITING_S, np.random.default_rng(SEED))
    ear = ear_on(Paced(noise), lambda _: None)
    before, began = time.process_time(), time.perf_counter()
    while isinstance(ear.hear(phrases), Utterance):
        pass
    used, took = time.process_time() - before, time.perf_counter() - began
    ear.close()
    print(f"The ear in hangar noise for {took:.0f} s: {100 * used / took:.1f} % of one core.")
    try:
        with sound_server() as environment, tempfile.TemporaryDirectory() as folder:
            _waiting_program(environment, Path(folder))
    except NoSoundServer as error:
        print(f"The whole program: not measured, {error}.")


def _waiting_program(environment: dict[str, str], folder: Path) -> None:
    """`handsfree run` and its voice, on a sound server, from when it listens."""
    (folder / "live.yaml").write_text(TASK, encoding="utf-8")
    noise = hangar_noise(WAITING_S, np.random.default_rng(SEED))
    soundfile.write(folder / "noise.wav", np.tile(noise, 4), SAMPLE_RATE)
    command = [sys.executable, "-c", "from handsfree.cli.app import main; main()", "run"]
    command += [str(folder / "live.yaml"), "--record", str(folder / "record"), "--device", "pulse"]
    play = ["paplay", "--device=hangar", str(folder / "noise.wav")]
    quiet = subprocess.DEVNULL
    with (
        subprocess.Popen(play, env=environment) as hangar,
        subprocess.Popen(command, env=environment, stdout=quiet, stderr=quiet) as program,
    ):
        log = folder / "record" / "log.jsonl"
        while program.poll() is None and not (log.exists() and '"spoken"' in log.read_text()):
            time.sleep(0.5)
        time.sleep(_SETTLES_S)
        before, began = _processor_s(program.pid), time.perf_counter()
        time.sleep(WAITING_S)
        used, took = _processor_s(program.pid) - before, time.perf_counter() - began
        program.terminate()
        hangar.terminate()
    print(f"The whole program for {took:.0f} s: {100 * used / took:.1f} % of one core.")


def _processor_s(pid: int) -> float:
    """Seconds of the processor that this process and those below it have used (Linux)."""
    used, left = 0.0, [pid]
    while left:
        folder = Path(f"/proc/{left.pop()}")
        fields = (folder / "stat").read_text().rpartition(")")[2].split()
        used += (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
        for thread in (folder / "task").iterdir():
            left += [int(each) for each in (thread / "children").read_text().split()]
    return used


def memory(clips: Sequence[Clip]) -> None:
    """The memory of a run of 60 min with an utterance about every 30 s, as fast as possible."""
    task = read_task(TASK, "live.yaml")
    state = listening_at(task, "pressure")
    phrases = phrases_now(task, state)
    rng = np.random.default_rng(SEED)
    few = [clip for clip in clips if clip.kind in ("reading", "command")][:30]
    parts = []
    for samples, _ in stream(few, 20.0, rng):
        parts += [samples, noise_at(24 * SAMPLE_RATE, 20.0, rng)]
    microphone = Unpaced(np.concatenate(parts))
    voice = ReadyVoice(Voice(SAMPLE_RATE))
    foresight = Foresight(task, voice.expect, voice.hurry)
    ear = ear_on(microphone, foresight.maybe, sleepless=True)

    heard, at = 0, {}
    marks = [600.0, 1800.0, 3600.0]
    while microphone.spoken_s < marks[-1]:
        foresight.follows(state, Listen(phrases))
        reached = ear.hear(phrases)
        if isinstance(reached, Utterance):
            heard += 1
            for each in advance(task, state, reached.heard)[1]:
                if isinstance(each, Say):
                    for sentence in sentences(each.text):
                        voice.render(sentence)
        for mark in marks:
            if microphone.spoken_s >= mark and mark not in at:
                at[mark] = _resident_mib()
    ear.close()
    voice.close()
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    steps = ", ".join(f"{mark / 60:.0f} min {mib:.0f} MiB" for mark, mib in at.items())
    print(
        f"Memory over 60 min of sound, {heard} utterances: {steps}; at most {most:.0f} MiB. "
        "The voice has a process of its own, which is not in these figures."
    )


def _resident_mib() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20
