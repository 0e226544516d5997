"""How quickly stored records are heard anew: `python -m tests.benchmarks.rehear FOLDER`.

Makes fifty records in FOLDER where they are not there yet: eight of the short task and two of the
long one, each in a noise of its own, and four copies of each. Ten of them, one of each, are heard
by one process and by two workers, in turns; then all fifty by two workers. Prints a Markdown block
for RESULTS.md. Needs the extras `fleet` and `natural-voice`.
"""

import os
import shutil
import sys
import time
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.progress import track

from demo.people import People, voice_line
from demo.play import EQUIPMENT, ROSTER, TODAY
from demo.play import TASK as LONG
from demo.script import SCRIPT, Line
from handsfree.engine.entries import Entry
from handsfree.fleet import Runner, open_runner
from handsfree.hearing.listeners import open_recognizer
from handsfree.hearing.models.versions import models_that_listen
from handsfree.hearing.recognizer import Recognizer
from handsfree.record import Circumstances, Record
from handsfree.record.marks import Way
from handsfree.rehear.rehearing import Reheard, open_records, rehear
from handsfree.running.loop import run
from handsfree.speaking.silent import SilentSpeaker
from handsfree.task.equipment_list import read_equipment
from handsfree.task.read import read_task
from handsfree.task.roles import Headset
from handsfree.task.roster import read_roster
from tests.record.runs import NoScreen
from tests.test_end_to_end import SAID
from tests.test_end_to_end import TASK as SHORT

_SHORT_RECORDS, _LONG_RECORDS, _COPIES = 8, 2, 4
_PLANNED_RECORDS, _PLANNED_CLIPS = 1_000, 25_000


class _Watched(NoScreen):
    """Lets the people of the run know what became of their words."""

    def __init__(self, people: People) -> None:
        self._people = people

    def decided(self, entry: Entry) -> None:
        self._people.hear_decision(entry)


@cache
def _voiced(line: Line) -> "np.ndarray[tuple[int], np.dtype[np.float32]]":
    return voice_line(line)


def make(folder: Path, task_file: Path, seed: int, recognizer: Recognizer) -> None:
    """One record of a run by synthetic people in hangar noise."""
    made = folder.with_suffix(".made")
    if made.exists():
        return
    shutil.rmtree(folder, ignore_errors=True)
    is_long = task_file == LONG
    script = SCRIPT if is_long else tuple(Line(Headset.TECHNICIAN, words) for words in SAID)
    manner = tuple(Headset)[seed % len(Headset)]
    lines = tuple((line, _voiced(line if is_long else Line(manner, line.words))) for line in script)
    began = time.monotonic()

    def since_start() -> timedelta:
        return timedelta(seconds=time.monotonic() - began)

    people = People(lines, recognizer, since_start, np.random.default_rng(seed))
    text = task_file.read_text(encoding="utf-8")
    task = read_task(text, task_file.name)
    how = Circumstances(task.task, task.revision, Way.CLIP, models_that_listen())
    with Record(folder, text, lambda: datetime.now(UTC), since_start, circumstances=how) as record:
        run(
            *(task, people, record, SilentSpeaker(), _Watched(people)),
            equipment=read_equipment(EQUIPMENT.read_bytes(), "") if is_long else None,
            people=read_roster(ROSTER.read_text(encoding="utf-8"), "") if is_long else (),
            utc_now=lambda: TODAY,
        )
    made.touch()


def records_in(folder: Path) -> tuple[list[Path], list[Path]]:
    """One of each, and all fifty."""
    recognizer = open_recognizer()
    plan = [(f"short-{seed}", SHORT, seed) for seed in range(_SHORT_RECORDS)]
    plan += [(f"long-{seed}", LONG, seed) for seed in range(_LONG_RECORDS)]
    ones = []
    for name, task_file, seed in track(plan, "Making", console=Console(stderr=True)):
        ones.append(folder / name)
        make(folder / name, task_file, seed, recognizer)
    copies = [folder / f"{one.name}-copy-{at}" for one in ones for at in range(_COPIES)]
    for copy in copies:
        if not copy.exists():
            shutil.copytree(folder / copy.name.rpartition("-copy-")[0], copy)
    return ones, [*ones, *copies]


def heard_by(runner: Runner, records: list[Path]) -> tuple[Reheard, float]:
    """What is found, and the seconds that it took."""
    found, before = Reheard(), time.perf_counter()
    rehear(open_records(records, found), found, "", runner)
    return found, time.perf_counter() - before


def main(folder: Path, stage: str) -> None:
    """Measure and print."""
    folder.mkdir(parents=True, exist_ok=True)
    ones, everything = records_in(folder)
    if stage == "make":
        return
    print(
        f"Measured on {datetime.now(UTC):%Y-%m-%d} on {os.cpu_count()} cores, load "
        f"{os.getloadavg()[0]:.0f}, with `python -m tests.benchmarks.rehear`.\n",
        flush=True,
    )
    print("| records | clips | by | seconds | clips a second | otherwise |")
    print("| ---: | ---: | --- | ---: | ---: | ---: |")

    def told(by: str, found: Reheard, seconds: float) -> None:
        otherwise = len(found.differences)
        rate = found.clips / seconds
        counts = f"| {found.records} | {found.clips} | {by}"
        print(f"{counts} | {seconds:.0f} | {rate:.2f} | {otherwise} |", flush=True)

    if stage in ("both", "ratio"):
        alone: list[float] = []
        shared: list[float] = []
        with open_runner() as one, open_runner(2) as two:
            for runner in (one, two):  # the models are loaded before it counts
                heard_by(runner, ones[:2])
            for _ in range(2):
                found, seconds = heard_by(one, ones)
                told("one process", found, seconds)
                alone.append(seconds)
                found, seconds = heard_by(two, ones)
                told("two workers", found, seconds)
                shared.append(seconds)
        print(f"\nOne process takes {sum(alone) / sum(shared):.2f} times as long as two workers.\n")
    if stage in ("both", "fifty"):
        with open_runner(2) as two:
            found, seconds = heard_by(two, everything)
        told("two workers", found, seconds)
        hours = _PLANNED_CLIPS / (found.clips / seconds) / 3600
        print(
            f"\n{_PLANNED_RECORDS:,} records with {_PLANNED_CLIPS:,} clips would take {hours:.1f} "
            "hours at that rate; so many were not done."
        )
    for each in found.worst_first[:5]:
        print(each.moment.record, each.moment.entry, each.then, each.now, each.score)
    for problem in found.problems:
        print(problem)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else "both")
