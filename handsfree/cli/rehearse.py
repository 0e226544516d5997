"""`handsfree rehearse`: how a task will be heard, before anyone stakes a finger on it."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.cli.common import TaskFile, read_checked, utc_now, waiting
from handsfree.cli.fleet import SchedulerOption, WorkersOption
from handsfree.cli.outside_records import outside_records
from handsfree.errors import HandsfreeError, Misuse

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

    from handsfree.rehearse.report import Rehearsal
    from handsfree.task.model import Task

_SNRS_DB = (20.0, 10.0, 5.0)
_VOICES = 8
# Sayings, each at its ratios, that are heard here before workers are started.
_FEW = 100


class RehearsalStopped(HandsfreeError):
    """Somebody pressed Ctrl-C."""

    exit_code = 130

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"Stopped. What was heard is kept in {folder}: the same command goes on from there."
        )


def rehearse(
    task: TaskFile,
    noise: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME|FILE",
            help="A noise by name, or a recording of your hangar; more than once for several. "
            "Default: seven that are synthesised.",
        ),
    ] = None,
    snr: Annotated[
        list[float] | None,
        typer.Option(
            metavar="DB",
            min=-20,
            max=60,
            help="The speech so many decibels above the noise; more than once for several. "
            "Default: 20, 10 and 5.",
        ),
    ] = None,
    voices: Annotated[
        int, typer.Option(metavar="N", min=1, help="So many of the installed voices.")
    ] = _VOICES,
    runs: Annotated[
        int, typer.Option(metavar="N", min=1, help="Times that each voice says each step.")
    ] = 1,
    seed: Annotated[int, typer.Option(metavar="S", help="Equal seeds rehearse alike.")] = 1,
    recordings: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Your own recordings, each named by what is said."),
    ] = None,
    other: Annotated[
        list[str] | None,
        typer.Option("--try", metavar="STEP=PHRASE", help="Rehearse another phrase of a step too."),
    ] = None,
    changes: Annotated[
        int, typer.Option(metavar="N", min=0, help="So many changes of wording are looked for.")
    ] = 3,
    no_conversations: Annotated[
        bool,
        typer.Option(
            "--no-conversations",
            help="Leave out that each voice also goes through the whole task in noise.",
        ),
    ] = False,
    to: Annotated[
        Path | None, typer.Option(metavar="FILE.html", help="Write it as one page too.")
    ] = None,
    json: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Where it is kept. Default: beside the task, where check looks."
        ),
    ] = None,
    workers: WorkersOption = 1,
    scheduler: SchedulerOption = None,
    cache: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Where what was heard is kept, to be heard once only."),
    ] = None,
    anew: Annotated[
        bool,
        typer.Option(
            "--anew", help="After a changed phrase, hear also what it had no part in again."
        ),
    ] = False,
) -> None:
    """Rehearse a task by many voices in noise: how it is heard, and what to change."""
    if to is not None and to.suffix.lower() not in (".html", ".htm"):
        # A file of that name is replaced, so it must not be able to name a task file.
        raise Misuse(f"{to}: the page needs a name that ends in .html.")
    if json is not None and json.suffix.lower() != ".json":
        raise Misuse(f"{json}: the rehearsal needs a name that ends in .json.")
    tries = tuple(map(_try, other or ()))
    # Small matrices take twice the processor on two threads, for the one waits for the other in a
    # loop, and both cores have other sounds to hear. NumPy asks as it is loaded, and not later.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from handsfree.rehearse.cache import usual_folder
    from handsfree.rehearse.report import as_json, rehearsal_of

    folder = outside_records(usual_folder() if cache is None else cache, "--cache", "folder")
    kept = outside_records(rehearsal_of(task) if json is None else json, "--json")
    if to is not None:
        outside_records(to, "--to")
    checked, _ = read_checked(task)
    from handsfree.cli.rehearsal_shown import print_rehearsal, write_page
    from handsfree.files.whole import replace_file
    from handsfree.rehearse.listening import USUAL_NOISES

    bound = checked.hearing
    snrs_db = tuple(dict.fromkeys(sorted(snr or _SNRS_DB, reverse=True)))
    if bound is not None and float(bound.at_snr) not in snrs_db:
        snrs_db = tuple(sorted((*snrs_db, float(bound.at_snr)), reverse=True))
    asked = _Asked(
        checked,
        tuple(dict.fromkeys(noise or USUAL_NOISES)),
        snrs_db,
        voices,
        runs,
        seed,
        recordings,
        tries,
        changes,
        not no_conversations,
        workers,
        scheduler,
        folder,
        anew,
    )
    try:
        rehearsal, made = _rehearsed(asked)
    except KeyboardInterrupt as stop:
        raise RehearsalStopped(folder) from stop
    try:
        replace_file(kept, as_json(rehearsal).encode())
    except OSError as error:
        raise Misuse(
            f"{kept}: cannot be written ({error.strerror}). Name another file with --json."
        ) from error
    print_rehearsal(rehearsal, bound)
    if to is not None:
        write_page(to, rehearsal, checked)
        typer.echo(f"page: {to}")
    typer.echo(f"kept: {kept}. Heard now: {made:,}.")


@dataclass(frozen=True, slots=True)
class _Asked:
    task: "Task"
    noises: tuple[str, ...]
    snrs_db: tuple[float, ...]
    voices: int
    runs: int
    seed: int
    recordings: Path | None
    tries: tuple[tuple[str, str], ...]
    changes: int
    talks: bool
    workers: int
    scheduler: str | None
    folder: Path
    anew: bool


def _rehearsed(asked: _Asked) -> "tuple[Rehearsal, int]":
    from handsfree.fleet import open_runner
    from handsfree.hearing.opening import open_recognizer
    from handsfree.rehearse.cache import Cache
    from handsfree.rehearse.hearings import Hearings
    from handsfree.rehearse.listening import Sounds, Source, recorded
    from handsfree.rehearse.plan import Settings
    from handsfree.rehearse.recordings import Recordings, read_recordings
    from handsfree.rehearse.rehearsing import Wanted, rehearse_task
    from handsfree.rehearse.trials import stage_of
    from handsfree.rehearse.voices import chosen_voices

    kinds = chosen_voices(asked.voices)
    sources = {each.name: Source(each) for each in kinds}
    found = Recordings()
    if asked.recordings is not None:
        with waiting("Listening to the recordings in quiet"):
            found = read_recordings(asked.recordings, stage_of(asked.task), open_recognizer())
        sources |= {str(each.path): recorded(each.path) for each in found.kept}
    with waiting("Making the noises"):
        # Workers on other machines have other folders.
        kept_in = asked.folder / "taken-in" if asked.scheduler is None else None
        sounds = Sounds(sources, asked.noises, kept_in)
    settings = Settings(
        tuple(each.name for each in kinds), asked.noises, asked.snrs_db, asked.runs, asked.seed
    )
    bound = asked.task.hearing
    at_db = float(bound.at_snr) if bound is not None else asked.snrs_db[len(asked.snrs_db) // 2]
    cache = Cache(asked.folder)
    try:
        with (
            open_runner(asked.workers, asked.scheduler, sounds.needs, _FEW) as runner,
            _listening() as (bar, watched),
        ):
            hearings = Hearings(
                cache, runner, sounds, lambda more: bar.advance(watched, more), anew=asked.anew
            )

            def more_to_hear(number: int) -> None:
                bar.update(watched, total=(bar.tasks[0].total or 0) + number)

            rehearsal = rehearse_task(
                asked.task,
                settings,
                found,
                Wanted(at_db, asked.changes, asked.tries, asked.talks),
                hearings,
                cache,
                utc_now().date(),
                more_to_hear,
            )
    finally:
        cache.close()
    return rehearsal, hearings.made


@contextmanager
def _listening() -> "Iterator[tuple[Progress, TaskID]]":
    """Show on stderr how much was heard, and how long the rest will take."""
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        yield progress, progress.add_task("listening", total=0)


def _try(text: str) -> tuple[str, str]:
    step, equals, phrase = text.partition("=")
    if not equals or not step.strip() or not phrase.strip():
        raise Misuse(f"--try {text}: write step and phrase, such as close-valve='valve shut'.")
    return step.strip(), " ".join(phrase.split())
