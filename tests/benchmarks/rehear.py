"""How quickly stored records are heard anew: `python -m tests.benchmarks.rehear FOLDER`.

Makes fifty records of the short task in FOLDER where they are not there yet: runs by three
synthetic people, each clip in a noise of its own. While they are made an ear hears what is said,
whatever the noise, so what is acted on is what was said. Two are heard anew by one process and by
two workers, in turns; then all fifty by one process. Each stage can be run by itself: `make`,
`ratio`, `fifty`. Prints a Markdown block for RESULTS.md. Needs the extras `fleet` and
`natural-voice`.
"""

import os
import shutil
import sys
import time
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np

from demo.noise import Sound
from demo.people import People, voice_line
from demo.script import Line
from handsfree.engine.entries import Entry
from handsfree.fleet import InOneProcess, Runner, open_runner
from handsfree.hearing.audio import Audio
from handsfree.hearing.models.versions import models_that_listen
from handsfree.record import Circumstances, Record
from handsfree.record.marks import Way
from handsfree.rehear.rehearing import Reheard, open_records, rehear
from handsfree.running.loop import run
from handsfree.speaking.silent import SilentSpeaker
from handsfree.task.read import read_task
from handsfree.task.roles import Headset
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet
from tests.record.runs import NoScreen
from tests.test_end_to_end import SAID, TASK

_RECORDS = 50
_IN_TURNS = 2


class _Watched(NoScreen):
    """Lets the people of the run know what became of their words."""

    def __init__(self, people: People) -> None:
        self._people = people

    def decided(self, entry: Entry) -> None:
        self._people.hear_decision(entry)


class _Told:
    """Hears the lines of a run as they are said."""

    def __init__(self) -> None:
        self._said = iter(SAID)

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        words = tuple(next(self._said).split())
        return Heard(words, 1.0, (), (), audio.started, audio.ended)


@cache
def _voiced(manner: Headset) -> tuple[tuple[Line, Sound], ...]:
    return tuple(
        (Line(Headset.TECHNICIAN, words), voice_line(Line(manner, words))) for words in SAID
    )


def make(folder: Path, seed: int) -> None:
    """One record of a run by a synthetic person in hangar noise."""
    made = folder.with_suffix(".made")
    if made.exists():
        return
    shutil.rmtree(folder, ignore_errors=True)
    lines = _voiced(tuple(Headset)[seed % len(Headset)])
    began = time.monotonic()

    def since_start() -> timedelta:
        return timedelta(seconds=time.monotonic() - began)

    people = People(lines, _Told(), since_start, np.random.default_rng(seed))
    text = TASK.read_text(encoding="utf-8")
    task = read_task(text, TASK.name)
    how = Circumstances(task.task, task.revision, Way.CLIP, models_that_listen())
    with Record(folder, text, lambda: datetime.now(UTC), since_start, circumstances=how) as record:
        run(task, people, record, SilentSpeaker(), _Watched(people))
    made.touch()


def records_in(folder: Path) -> list[Path]:
    """All fifty."""
    folder.mkdir(parents=True, exist_ok=True)
    records = [folder / f"run-{seed}" for seed in range(_RECORDS)]
    for seed, each in enumerate(records):
        make(each, seed)
    return records


def heard_by(runner: Runner, records: list[Path]) -> tuple[Reheard, float]:
    """What is found, and the seconds that it took."""
    found, before = Reheard(), time.perf_counter()
    rehear(open_records(records, found), found, "", runner)
    return found, time.perf_counter() - before


def main(folder: Path, stage: str) -> None:
    """Measure and print."""
    records = records_in(folder)
    if stage == "make":
        return
    print(
        f"Measured on {datetime.now(UTC):%Y-%m-%d} on {os.cpu_count()} cores at a load of "
        f"{os.getloadavg()[0]:.0f} with `python -m tests.benchmarks.rehear`.\n\n"
        "| records | clips | by | seconds | of the processor | clips a second | otherwise |\n"
        "| ---: | ---: | --- | ---: | ---: | ---: | ---: |",
        flush=True,
    )
    if stage in ("both", "ratio"):
        seconds: dict[str, float] = {}
        with open_runner() as one, open_runner(2) as two:
            by = {"one process": one, "two workers": two}
            for runner in by.values():  # the models are loaded before it counts
                heard_by(runner, records[:1])
            for _ in range(_IN_TURNS):
                for name, runner in by.items():
                    took = _told(name, runner, records[:2])
                    seconds[name] = seconds.get(name, 0.0) + took
        ratio = seconds["one process"] / seconds["two workers"]
        print(f"\nOne process takes {ratio:.2f} times as long as two workers.\n")
    if stage in ("both", "fifty"):
        _told("one process", InOneProcess(), records)


def _told(by: str, runner: Runner, records: list[Path]) -> float:
    """Hear these records, print a line of the table, and give the seconds."""
    before = time.process_time()
    found, seconds = heard_by(runner, records)
    own = f"{time.process_time() - before:.0f}" if isinstance(runner, InOneProcess) else ""
    counts = f"| {found.records} | {found.clips} | {by} | {seconds:.0f} | {own}"
    print(f"{counts} | {found.clips / seconds:.2f} | {len(found.differences)} |", flush=True)
    for each in (*found.differences, *found.problems):
        print(each, file=sys.stderr)
    return seconds


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else "both")
