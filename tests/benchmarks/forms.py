"""Values in every form a task can allow, by synthetic strangers.

`python -m tests.benchmarks.forms`, after `models/training/make_forms.py` has recorded them.

No recordings of people who say fractions, dates or "double four" could be had. The reader was not
trained on these voices, but on others of the same synthesiser. So this shows what is not heard at
all, and not how often people are heard right.
"""

import argparse
import csv
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

import numpy as np
import soundfile
from rich.console import Console
from rich.progress import track

from handsfree.engine.advance import advance, before_start
from handsfree.engine.events import Spoken, Started
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.trust import is_believed
from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.opening import open_recognizer
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.words.meanings import Understood
from handsfree.words.phrases import PhraseSet
from tests.benchmarks.speech import mixed, pink_noise

LEVELS_DB = (None, 20, 10)
_HERE = Path(__file__).resolve().parent
_RECORDED = _HERE.parents[1] / "models" / "training" / ".cache" / "forms"
_SILENCE_S = 0.3  # before and after the words, as a microphone that is always open has it

TASK = """\
task: forms
title: Forms
revision: "1"
notice: Invented.
approved_data: {reference: QX 1, revision: "1"}
applicability: {aircraft: Any 1, component: bottle}
steps:
  - id: length
    instruction: Read the length.
    expect: {reading: length, unit: in, resolution: 0.0625, fractions: true, limits: {max: 90}}
  - id: pressure
    instruction: Read the pressure.
    expect:
      reading: pressure
      called: [gauge]
      unit: psi
      resolution: 1
      doubles: true
      other_scales: [{unit: bar, resolution: 1}]
      limits: {max: 9000}
  - id: torque
    instruction: Read the torque.
    expect: {reading: torque, unit: N.m, resolution: 1, words_twice: true, limits: {max: 90}}
  - id: serial
    instruction: Read the serial number.
    expect: {identity: serial number, doubles: true}
  - id: due
    instruction: Read the date.
    expect: {date: calibrated until}
"""


@dataclass(frozen=True, slots=True)
class Said:
    """One utterance of one voice."""

    voice: str
    words: str
    samples: Samples


def recorded(folder: Path) -> Iterator[Said]:
    """Every utterance in `folder`, as `models/training/corpus.py` writes it."""
    for table in sorted(folder.glob("*.csv")):
        sound, _ = soundfile.read(table.with_suffix(".flac"), dtype="float32")
        with table.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                start = int(row["start"])
                yield Said(table.stem, row["text"], sound[start : start + int(row["samples"])])


def phrases_at(task: Task, step: str) -> PhraseSet:
    """What the tool listens for at `step`."""
    state, _ = advance(task, before_start(task), Started())
    state, _ = advance(task, state, Spoken())
    number = [each.id for each in task.steps].index(step)
    return phrases_now(task, state.at_step(number))


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.forms")
    parser.add_argument("folder", nargs="?", type=Path, default=_RECORDED)
    folder: Path = parser.parse_args().folder
    utterances = tuple(recorded(folder))
    if not utterances:
        raise SystemExit(f"{folder}: nothing recorded. See models/training/make_forms.py.")
    with (_HERE / "forms.csv").open(encoding="utf-8", newline="") as file:
        steps = {row["words"]: row["step"] for row in csv.DictReader(file)}
    task = read_task(TASK, "forms.yaml")
    phrases = {step: phrases_at(task, step) for step in set(steps.values())}
    recognizer = open_recognizer()
    silence = np.zeros(round(_SILENCE_S * SAMPLE_RATE), np.float32)
    print("| noise | form | utterances | accepted, right | accepted, wrong | asked again |")
    print("|" + " --- |" * 6)
    wrong, unheard = [], Counter[str]()
    for level in LEVELS_DB:
        found: dict[str, Counter[str]] = {step: Counter() for step in dict.fromkeys(steps.values())}
        for at, said in enumerate(
            track(utterances, f"{level} dB", console=Console(stderr=True), transient=True)
        ):
            sound = np.concatenate([silence, said.samples, silence])
            if level is not None:
                sound = mixed(sound, pink_noise(len(sound), at), level)
            listened = phrases[steps[said.words]]
            heard = recognizer.recognize(Audio(sound, timedelta(0)), listened)
            parsed = listened.parse(heard.words)
            # Words with two meanings are asked about, however sure they are.
            understood = isinstance(parsed, Understood)
            if not understood or not is_believed(heard.score, parsed):
                found[steps[said.words]]["asked"] += 1
                unheard[said.words] += 1
            elif parsed == listened.parse(said.words.split()):
                found[steps[said.words]]["right"] += 1
            else:
                found[steps[said.words]]["wrong"] += 1
                wrong.append(f'- {level} dB, {said.voice}: "{said.words}" heard {heard.words}')
        for step, counted in found.items():
            noise = "none" if level is None else f"{level} dB"
            print(
                f"| {noise} | {step} | {counted.total()} | {counted['right']} "
                f"| {counted['wrong']} | {counted['asked']} |",
                flush=True,
            )
    print("\nAccepted and wrong:", *(wrong or ["- none"]), sep="\n")
    print("\nAsked again, of all times it was said:")
    times = len(LEVELS_DB) * len({each.voice for each in utterances})
    print(*(f"- {words}: {count} of {times}" for words, count in unheard.most_common()), sep="\n")


if __name__ == "__main__":
    main()
