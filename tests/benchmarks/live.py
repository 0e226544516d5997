"""How well and how quickly it hears live: `python -m tests.benchmarks.live [PART...]`.

Parts: syllables, noise, answer, waiting, memory, start; all by default. `--tuning` takes the
tuning half of the speakers, for choosing `endpoint.Rules`; the reporting half is for RESULTS.md.
AN4 stands for what people say, and `demo/noise.py` for a hangar: no hangar was recorded.
Microphones are made of arrays. `answer` and `waiting` run in real time, the others as fast as the
detector does.
"""

import argparse
import os
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.progress import track

from demo.noise import hangar_noise
from handsfree.engine.advance import advance, before_start
from handsfree.engine.effects import Listen, Say
from handsfree.engine.events import Spoken, Started
from handsfree.engine.listening import phrases_now
from handsfree.engine.state import State
from handsfree.foresight import Foresight
from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.hearing.channel import Channel
from handsfree.hearing.clocks import SleepWatch
from handsfree.hearing.early import EarlyRecognition
from handsfree.hearing.endpoint import FRAME_MS, FRAME_SAMPLES, Ended, RanOn, Rules
from handsfree.hearing.listeners import open_recognizer
from handsfree.hearing.microphone import Block, MicrophoneLost
from handsfree.hearing.voice_activity import SileroActivity
from handsfree.live_ear import LiveEar, Person
from handsfree.run import Utterance
from handsfree.speaking.ready import ReadyVoice, sentences
from handsfree.speaking.voice import Voice
from handsfree.task.model import Task
from handsfree.task.read import read_task
from tests.benchmarks.speech import REPORTING, TUNING, Clip, an4_clips, audio_of

SEED = 20261126
SPEECH_DBFS = -26.0  # of the active speech: a usual level for headsets (common practice, no source)
_ROOT = Path(__file__).resolve().parents[2]
_PEOPLE = (Person("technician", 0, 0),)

TASK = """\
task: live
title: Live
revision: "1"
notice: Invented.
approved_data: {reference: QX 1, revision: "1"}
applicability: {aircraft: Any 1, component: bottle}
steps:
  - id: command
    instruction: Say a word.
    expect: {choose: ["yes", "no", go, stop, start, help, repeat], required: start}
  - id: pressure
    instruction: Read the pressure.
    expect: {reading: pressure, unit: psi, resolution: 1, limits: {min: 100, max: 9000}}
  - id: cover
    instruction: Close the cover.
    expect: {confirm: cover closed}
"""


@dataclass(frozen=True, slots=True)
class Uttered:
    """Where an utterance lies in a stream, in samples, by the energy of the clean clip."""

    clip: Clip
    onset: int
    offset: int


def active_span(samples: Samples) -> tuple[int, int]:
    """First and last sample of speech: frames of 16 ms within 30 dB of the loudest, three in a row.

    On the clean clip; AN4 has no marked-up onsets, so the threshold is a choice of ours. A breath
    or click before the words is no syllable: less than 200 ms that is followed by 250 ms of
    silence, which is longer than the closure of any stop within a word.
    """
    size = SAMPLE_RATE * 16 // 1000
    frames = samples[: len(samples) // size * size].reshape(-1, size).astype(np.float64)
    power = np.mean(frames**2, axis=1)
    active = power >= power.max() / 1000
    found = np.flatnonzero(active[:-2] & active[1:-1] & active[2:])
    first, last = int(found[0]), int(found[-1]) + 3
    while True:
        on = np.flatnonzero(active[first:last]) + first
        after = on[1:][np.diff(on) > 250 // 16]  # what follows a silence
        if not len(after) or on[on < after[0]][-1] - first >= 200 // 16:
            return first * size, last * size
        first = int(after[0])


def stream(
    clips: Sequence[Clip], snr_db: float | None, rng: np.random.Generator
) -> Iterator[tuple[Samples, Uttered | None]]:
    """Gaps and clips in turn, with hangar noise at `snr_db` through all; None: -70 dB FS of hiss.

    Gaps last 1 to 3 s. Positions are within each piece.
    """
    speech_rms = 10 ** (SPEECH_DBFS / 20) / np.sqrt(2)
    for clip in clips:
        samples = audio_of(clip).samples
        onset, offset = active_span(samples)
        level = np.sqrt(np.mean(samples[onset:offset].astype(np.float64) ** 2))
        before, after = (round(x * SAMPLE_RATE) for x in rng.uniform((0.5, 0.5), (1.5, 1.5)))
        piece = np.concatenate(
            [np.zeros(before), samples * (speech_rms / level), np.zeros(after)]
        ).astype(np.float32)
        piece += _noise(len(piece), speech_rms, snr_db, rng)
        yield np.clip(piece, -1, 1), Uttered(clip, before + onset, before + offset)


def _noise(
    length: int, speech_rms: float, snr_db: float | None, rng: np.random.Generator
) -> Samples:
    if snr_db is None:
        return np.asarray(10 ** (-70 / 20) * rng.standard_normal(length), np.float32)
    noise = hangar_noise(length / SAMPLE_RATE, rng)[:length]
    level = float(np.sqrt(np.mean(noise.astype(np.float64) ** 2)))
    scaled = noise * np.float32(speech_rms / 10 ** (snr_db / 20) / level)
    return np.pad(scaled, (0, length - len(scaled)))


def found_in(
    pieces: Iterator[tuple[Samples, Uttered | None]], total: int, what: str
) -> tuple[list[Uttered], list[tuple[int, int]], float]:
    """The utterances that were spoken and those that were found, in samples, and the seconds."""
    channel = Channel("technician", SileroActivity(), Rules(), SAMPLE_RATE)
    spoken: list[Uttered] = []
    found: list[tuple[int, int]] = []
    at = 0
    for samples, inside in track(
        pieces, what, total=total, console=Console(stderr=True), transient=True
    ):
        if inside is not None:
            spoken.append(Uttered(inside.clip, at + inside.onset, at + inside.offset))
        at += len(samples)
        found += [
            (each.first * FRAME_SAMPLES, each.end * FRAME_SAMPLES)
            for each in channel.take(samples)
            if isinstance(each, Ended | RanOn)
        ]
    return spoken, found, at / SAMPLE_RATE


def syllables(clips: Sequence[Clip]) -> None:
    """First syllables lost, utterances missed and split."""
    print("| noise | utterances | first syllable lost | missed | in two pieces | least margin ms |")
    print("|" + " --- |" * 6)
    for snr_db in (None, 20.0, 10.0):
        rng = np.random.default_rng(SEED)
        spoken, found, _ = found_in(stream(clips, snr_db, rng), len(clips), f"{snr_db} dB")
        margins, missed, split = [], 0, 0
        late = []
        for each in spoken:
            inside = [one for one in found if one[0] < each.offset and one[1] > each.onset]
            if not inside:
                missed += 1
                continue
            split += len(inside) > 1
            margins.append((each.onset - inside[0][0]) * 1000 / SAMPLE_RATE)
            if margins[-1] < 0:
                late.append(f"{each.clip.path.name} {margins[-1]:.0f} ms")
        lost = sum(margin < 0 for margin in margins)
        print(
            f"| {'none' if snr_db is None else f'hangar, {snr_db:.0f} dB'} | {len(spoken)} "
            f"| {lost} | {missed} | {split} | {min(margins):.0f} |",
            flush=True,
        )
        # To be listened to: a long breath before the words is energy, and no syllable.
        print(*late, sep="\n", file=sys.stderr)


def noise(clips: Sequence[Clip]) -> None:
    """Utterances invented and missed in 30 min of hangar noise, without and with speech."""
    print("| 30 min of hangar noise | utterances | missed | invented |")
    print("|" + " --- |" * 4)
    minutes = 30
    rng = np.random.default_rng(SEED)

    def alone() -> Iterator[tuple[Samples, Uttered | None]]:
        for _ in range(minutes):
            yield hangar_noise(60, rng), None

    _, found, _ = found_in(alone(), minutes, "noise alone")
    print(f"| alone, {20 * np.log10(0.05 * np.sqrt(2)):.0f} dB FS | 0 | 0 | {len(found)} |")
    for snr_db in (20.0, 10.0):
        few = [clips[at] for at in np.random.default_rng(SEED).permutation(len(clips))]
        pieces = _for_minutes(stream(few * 3, snr_db, rng), minutes)
        spoken, found, _ = found_in(pieces, len(few), f"{snr_db} dB")
        missed = sum(
            not any(one[0] < each.offset and one[1] > each.onset for one in found)
            for each in spoken
        )
        invented = sum(
            not any(one[0] < each.offset and one[1] > each.onset for each in spoken)
            for one in found
        )
        print(
            f"| with speech, {snr_db:.0f} dB | {len(spoken)} | {missed} | {invented} |", flush=True
        )


def _for_minutes(
    pieces: Iterator[tuple[Samples, Uttered | None]], minutes: float
) -> Iterator[tuple[Samples, Uttered | None]]:
    length = 0
    for piece in pieces:
        if length >= minutes * 60 * SAMPLE_RATE:
            return
        length += len(piece[0])
        yield piece


class Paced:
    """A microphone that gives its sound in real time."""

    name, rate_hz = "paced", SAMPLE_RATE

    def __init__(self, sound: Samples) -> None:
        whole = len(sound) // FRAME_SAMPLES
        self._frames = sound[: whole * FRAME_SAMPLES].reshape(whole, FRAME_SAMPLES, 1)
        self._at = 0
        self.began = time.perf_counter()

    def open(self) -> None:
        self.began = time.perf_counter()

    def close(self) -> None:
        pass

    def read(self, timeout_s: float) -> Block | None:
        wait = self.due(self._at + 1) - time.perf_counter()
        if wait > 0 and not timeout_s:
            return None
        if self._at == len(self._frames):
            raise MicrophoneLost(self.name, "the sound is over")
        if wait > 0:
            time.sleep(wait)
        self._at += 1
        return Block(self._frames[self._at - 1], gap=False)

    def due(self, frames: int) -> float:
        """When the first so many frames have been spoken."""
        return self.began + frames * FRAME_MS / 1000

    @property
    def last_due(self) -> float:
        """When the frame that was read last had been spoken."""
        return self.due(self._at)


class Unpaced(Paced):
    """The same, as fast as it is read, over and over."""

    def read(self, timeout_s: float) -> Block | None:
        if not timeout_s:
            return None
        self._at += 1
        return Block(self._frames[(self._at - 1) % len(self._frames)], gap=False)

    @property
    def spoken_s(self) -> float:
        """How much sound was read."""
        return self._at * FRAME_MS / 1000


def listening_at(task: Task, step: str) -> State:
    """The state in which the tool listens for what `step` expects."""
    state, _ = advance(task, before_start(task), Started())
    state, _ = advance(task, state, Spoken())
    number = [each.id for each in task.steps].index(step)
    return replace(state, step=number)


def ear_on(microphone: Paced, maybe: Callable[..., None], sleepless: bool = False) -> LiveEar:
    """A live ear with the embedded listeners."""
    began = time.monotonic()

    def since_start() -> timedelta:
        return timedelta(seconds=0 if sleepless else time.monotonic() - began)

    def utc_now() -> datetime:
        return datetime(2031, 1, 1, tzinfo=UTC) + since_start()

    return LiveEar(
        (microphone,),
        _PEOPLE,
        EarlyRecognition(open_recognizer(), open_recognizer, maybe),
        since_start,
        SleepWatch(utc_now, since_start),
    )


def answer(clips: Sequence[Clip]) -> None:
    """From the end of speech to the first sample of the answer, in real time."""
    task = read_task(TASK, "live.yaml")
    print(
        "| said | utterances | answer ms median | p95 | waiting for the end of speech ms median |"
    )
    print("|" + " --- |" * 5)
    voice = ReadyVoice(Voice(SAMPLE_RATE))
    for kind, step in (("reading", "pressure"), ("command", "command")):
        state = listening_at(task, step)
        chosen = [clip for clip in clips if clip.kind == kind][:25]
        pieces = list(stream(chosen, 20.0, np.random.default_rng(SEED)))
        starts = np.cumsum([0, *(len(samples) for samples, _ in pieces)])
        ends = [
            int(start) + spoken.offset
            for start, (_, spoken) in zip(starts[:-1], pieces, strict=True)
            if spoken is not None
        ]
        microphone = Paced(
            np.concatenate([*(samples for samples, _ in pieces), np.zeros(32_000, np.float32)])
        )
        foresight = Foresight(task, voice.expect, voice.hurry)
        ear = ear_on(microphone, foresight.maybe)
        phrases = phrases_now(task, state)
        answers: list[float] = []
        waits: list[float] = []
        while True:
            foresight.follows(state, Listen(phrases))
            reached = ear.hear(phrases)
            if not isinstance(reached, Utterance):
                if microphone.last_due - microphone.began > starts[-1] / SAMPLE_RATE:
                    break
                continue
            says = [
                each for each in advance(task, state, reached.heard)[1] if isinstance(each, Say)
            ]
            voice.render(sentences(says[0].text)[0])
            now = time.perf_counter()
            answers.append(1000 * (now - microphone.last_due))
            ended = [end for end in ends if microphone.began + end / SAMPLE_RATE < now]
            waits.append(1000 * (microphone.last_due - microphone.began - ended[-1] / SAMPLE_RATE))
        ear.close()
        print(
            f"| {kind} | {len(answers)} | {statistics.median(answers):.0f} "
            f"| {statistics.quantiles(answers, n=20)[-1]:.0f} | {statistics.median(waits):.0f} |",
            flush=True,
        )
    voice.close()


def waiting(clips: Sequence[Clip]) -> None:
    """The processor while it waits in hangar noise."""
    seconds = 30.0
    task = read_task(TASK, "live.yaml")
    phrases = phrases_now(task, listening_at(task, "command"))
    microphone = Paced(hangar_noise(seconds, np.random.default_rng(SEED)))
    ear = ear_on(microphone, lambda _: None)
    before, began = time.process_time(), time.perf_counter()
    while isinstance(ear.hear(phrases), Utterance):
        pass
    used, took = time.process_time() - before, time.perf_counter() - began
    ear.close()
    print(f"Waiting in hangar noise for {took:.0f} s: {100 * used / took:.1f} % of one core.")


def memory(clips: Sequence[Clip]) -> None:
    """The memory of a run of 60 min with an utterance about every 30 s, as fast as possible."""
    task = read_task(TASK, "live.yaml")
    state = listening_at(task, "pressure")
    phrases = phrases_now(task, state)
    rng = np.random.default_rng(SEED)
    few = [clip for clip in clips if clip.kind in ("reading", "command")][:30]
    parts = []
    for samples, _ in stream(few, 20.0, rng):
        parts += [samples, _noise(24 * SAMPLE_RATE, 0.035, 20.0, rng)]
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


def start(clips: Sequence[Clip]) -> None:
    """From the start of the program until a microphone is listened to."""
    code = (
        "from tests.benchmarks.live import *\n"
        "voice = ReadyVoice(Voice(48_000))\n"
        "ear = ear_on(Paced(np.zeros(160_000, np.float32)), lambda _: None)\n"
        "print('listening', flush=True)\n"
        "ear.close(); voice.close()\n"
    )
    times = []
    for _ in range(5):
        began = time.perf_counter()
        with subprocess.Popen(
            [sys.executable, "-c", code], stdout=subprocess.PIPE, cwd=_ROOT
        ) as child:
            assert child.stdout is not None
            child.stdout.readline()
            times.append(time.perf_counter() - began)
    print(
        f"Start to listening, {len(times)} starts: median {statistics.median(times):.1f} s, "
        f"longest {max(times):.1f} s."
    )


PARTS = {each.__name__: each for each in (syllables, noise, answer, waiting, memory, start)}


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.live")
    parser.add_argument("parts", nargs="*", choices=[*PARTS, []], metavar="PART")
    parser.add_argument("--tuning", action="store_true", help="the tuning half of the speakers")
    parser.add_argument("--most", type=int, default=500, help="utterances for `syllables`")
    given = parser.parse_args()
    wanted = TUNING if given.tuning else REPORTING
    every = an4_clips("reading", "command", "spelled", "other")
    clips = [clip for clip in every if clip.half == wanted]
    load = os.getloadavg()
    print(f"{wanted} half, {os.cpu_count()} cores, load average {load[0]:.1f} at the start.\n")
    for name in given.parts or PARTS:
        PARTS[name](clips[: given.most])
        print()


if __name__ == "__main__":
    main()
