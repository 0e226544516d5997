"""What the tests of a rehearsal stand on: tasks, and a listener that is told what to hear."""

from collections.abc import Callable, Iterable, Iterator
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from handsfree.fleet import Job
from handsfree.rehearse.cache import Cache
from handsfree.rehearse.hearings import Hearings
from handsfree.rehearse.listening import Sounds, Source
from handsfree.rehearse.plan import Scene, Settings
from handsfree.rehearse.recordings import Recordings
from handsfree.rehearse.rehearsing import Wanted, rehearse_task
from handsfree.rehearse.report import Rehearsal
from handsfree.rehearse.trials import Stage, stage_of
from handsfree.rehearse.voices import VoiceKind
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.words.heard import Heard
from tests.shipped_tasks import FOLDER

SHORT = FOLDER / "accumulator-nitrogen.yaml"
LONG = FOLDER / "door-slide-refit.yaml"
KINDS = tuple(VoiceKind(name, "built-in") for name in ("anna", "ben", "carl"))
SETTINGS = Settings(tuple(each.name for each in KINDS), ("hangar", "drill"), (20.0, 10.0))
PLAIN = Wanted(10.0, 0)
DAY = date(2026, 11, 29)

Ear = Callable[[str], tuple[str, float]]
"""By the words that are said: what is heard, and how sure it is."""


@cache
def task_in(path: Path) -> Task:
    return read_task(path.read_text(encoding="utf-8"), path.name)


@cache
def stage(path: Path = SHORT) -> Stage:
    return stage_of(task_in(path))


FREE_CHOICE = """
task: t
title: Look at a door
revision: "1"
notice: This task is invented. Do not use it on any aircraft.
approved_data: {reference: QMD 1, revision: "1"}
applicability: {aircraft: Invented, component: Door}
steps:
  - id: which-door
    instruction: Say which door you stand at.
    expect: {choose: [left door, right door]}
  - id: look
    instruction: Look at the seal.
    expect: {confirm: seal seen}
"""


@cache
def free_choice() -> Stage:
    """Of a task with a choice that leads to the same step whatever it is."""
    return stage_of(read_task(FREE_CHOICE, "t.yaml"))


def surely(words: str) -> tuple[str, float]:
    return words, 1.0


class Listening:
    """A runner whose listener hears what `ear` tells it, and that counts its work."""

    workers = 1

    def __init__(self, ear: Ear = surely, ends_after: int | None = None) -> None:
        self.ear = ear
        self.done = 0
        self.ends_after = ends_after

    def results(self, jobs: Iterable[Job[Any, Any]]) -> Iterator[tuple[int, Any]]:
        for number, job in enumerate(jobs):
            if self.ends_after is not None and self.done >= self.ends_after:
                raise KeyboardInterrupt
            self.done += len(job.given)
            yield number, tuple(self.heard(each.scene) for each in job.given)

    def heard(self, scene: Scene) -> Heard:
        words, score = self.ear(scene.words)
        said = tuple(words.split())
        return Heard(said, score, (), (), timedelta(0), timedelta(seconds=1))


def rehearsed(
    folder: Path,
    runner: Listening,
    task: Task | None = None,
    wanted: Wanted = PLAIN,
    settings: Settings = SETTINGS,
) -> Rehearsal:
    """The short task, or another, rehearsed with a cache in `folder`."""
    cache = Cache(folder)
    sounds = Sounds({each.name: Source(each) for each in KINDS}, settings.noises)
    hearings = Hearings(cache, runner, sounds, lambda _more: None)
    try:
        return rehearse_task(
            task or task_in(SHORT), settings, Recordings(), wanted, hearings, cache, DAY
        )
    finally:
        cache.close()
