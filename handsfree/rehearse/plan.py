"""What is rehearsed of a task: which voice says which words, at which moment, in which noise. Pure.

What is chosen is the one whose hash with the seed is lowest. So a task with one phrase changed is
rehearsed by the same choices, but for those that the phrase has a part in, and whoever computes it
chooses alike.
"""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random

from handsfree.rehearse.moments import Moment
from handsfree.rehearse.sayings import Kind, Saying, sayings_at
from handsfree.task.model import Task


@dataclass(frozen=True, slots=True)
class Settings:
    """What a person asked for."""

    voices: tuple[str, ...]  # by name
    noises: tuple[str, ...]  # by name
    snrs_db: tuple[float, ...]
    runs: int = 1  # of each moment, by each voice at each ratio
    seed: int = 1


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything that makes the sound of one saying."""

    voice: str
    words: str
    noise: str
    snr_db: float
    seed: int  # of the room and of the stretch of noise


@dataclass(frozen=True, slots=True)
class Trial:
    """One saying at one moment."""

    moment: int  # its place among the moments
    kind: Kind
    scene: Scene


def trials_of(
    task: Task, moments: Sequence[Moment], settings: Settings, step: str | None = None
) -> tuple[Trial, ...]:
    """The trials, by moment: one answer, one mistake and one piece of talk in each run.

    Where a `step` is named, its own only.
    """
    return tuple(
        trial
        for at, moment in enumerate(moments)
        if step in (None, moment.step)
        for trial in _trials_at(task, at, moment, settings)
    )


def _trials_at(task: Task, at: int, moment: Moment, settings: Settings) -> Iterator[Trial]:
    for run in range(settings.runs):
        for voice in settings.voices:
            key = f"{settings.seed}:{moment.name}:{voice}:{run}"
            said = sayings_at(task, moment, Random(key))
            chosen = [Saying(lowest(said[kind], f"{key}:{kind.value}"), kind) for kind in Kind]
            for saying in chosen:
                for snr_db in settings.snrs_db:
                    scene = scene_of(saying.words, voice, moment.name, snr_db, run, settings)
                    yield Trial(at, saying.kind, scene)


def scene_of(
    words: str, voice: str, moment: str, snr_db: float, run: int, settings: Settings
) -> Scene:
    """The sound of `words` at a moment in this run.

    At another moment the noise is another one, though the words be the same: each saying is counted
    as a draw of its own, and would be none if one sound was counted at every step.
    """
    key = f"{settings.seed}:{voice}:{words}:{moment}:{run}"
    return Scene(voice, words, lowest(settings.noises, key), snr_db, number(f"{key}:{snr_db:g}"))


def lowest(among: Sequence[str], key: str) -> str:
    """The one with the lowest hash."""
    return min(among, key=lambda each: number(f"{key}:{each}"))


def number(text: str) -> int:
    """A number of 48 bits that stands for `text`, the same everywhere."""
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:6], "big")
