"""The command that hears the clips of stored records anew."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from handsfree.cli.fleet import SchedulerOption, WorkersOption
from handsfree.cli.outside_records import outside_records
from handsfree.errors import Misuse


def rehear(
    records: Annotated[
        list[Path],
        typer.Argument(metavar="RECORD...", help="Folders of records.", show_default=False),
    ],
    model: Annotated[
        str,
        typer.Option(
            "--model",
            metavar="NAME",
            help="Hear with this model alone.  (default: with all that listen in a run)",
            show_default=False,
        ),
    ] = "",
    workers: WorkersOption = 1,
    scheduler: SchedulerOption = None,
    keep: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER",
            help="Keep what was heard there: another call with it goes on where this one ended.",
        ),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object.")] = False,
) -> None:
    """Hear the clips of records anew, and list where another value is heard now.

    Records are read and never written. Exit codes: 0 nothing that matters differs, 1 somebody must
    listen to a clip or something could not be heard, 2 there is no record in a folder.
    """
    from handsfree.cli.common import waiting
    from handsfree.cli.rehear_shown import as_object, told
    from handsfree.fleet import Kept, open_runner
    from handsfree.rehear.hearing_again import HeardAgain, refuse_unknown
    from handsfree.rehear.rehearing import Reheard, clips_of, open_records
    from handsfree.rehear.rehearing import rehear as hear_them

    refuse_unknown(model)
    if keep is not None and keep.exists() and not keep.is_dir():
        raise Misuse(f"{keep}: is no folder. Name one for --keep; it is made where it is missing.")
    if keep is not None:
        outside_records(keep, "--keep", "folder")
    found = Reheard()
    interrupted = False
    try:
        with waiting("Reading the records"):
            clips = sum(map(clips_of, records))
        with (
            open_runner(workers, scheduler) as runner,
            _counted(clips) as heard_one,
        ):
            kept = None if keep is None else Kept(keep, HeardAgain)
            hear_them(open_records(records, found), found, model, runner, kept, heard_one)
    except KeyboardInterrupt:
        interrupted = True
    except OSError as error:
        raise Misuse(f"--keep {keep}: cannot be written there ({error.strerror}).") from error
    if as_json:
        typer.echo(as_object(found, complete=not interrupted))
    else:
        for line in told(found, complete=not interrupted):
            typer.echo(line)
    raise typer.Exit(max(found.exit_code, 1) if interrupted else found.exit_code)


@contextmanager
def _counted(clips: int) -> Iterator[Callable[[], None]]:
    """Show on stderr how many clips were heard, and how long it takes yet."""
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    columns = (
        TextColumn("Hearing clips"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        bar = progress.add_task("", total=clips)
        yield lambda: progress.advance(bar)
