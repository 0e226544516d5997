"""How long a person waits: for the answer, and for the tool to listen at all."""

import statistics
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from handsfree.engine.advance import advance
from handsfree.engine.effects import Listen, Say
from handsfree.engine.phrases_now import phrases_now
from handsfree.hearing.audio import SAMPLE_RATE
from handsfree.running.parts import Utterance
from handsfree.running.voice_ahead import Foresight
from handsfree.speaking.ready import ReadyVoice, sentences
from handsfree.speaking.voice import Voice
from handsfree.task.read import read_task
from tests.benchmarks.live.ears import TASK, Paced, ear_on, listening_at
from tests.benchmarks.live.streams import SEED, stream
from tests.benchmarks.speech import Clip

_ROOT = Path(__file__).resolve().parents[3]


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


def start(clips: Sequence[Clip]) -> None:
    """From the start of the program until a microphone is listened to."""
    code = (
        "import numpy as np\n"
        "from handsfree.speaking.ready import ReadyVoice\n"
        "from handsfree.speaking.voice import Voice\n"
        "from tests.benchmarks.live.ears import Paced, ear_on\n"
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
