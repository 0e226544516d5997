"""The command that makes the supervisor's page."""

from pathlib import Path
from typing import Annotated

import typer

from handsfree.cli.keys_given import TrustedFile, read_trusted_keys
from handsfree.cli.record import NoVoices, RecordFolder, Roots, verified


def page(
    record: RecordFolder,
    to: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="The new HTML file.  (default: RECORD.html)"),
    ] = None,
    no_voices: NoVoices = False,
    roots: Roots = None,
    trusted: TrustedFile = None,
) -> None:
    """Make one page of a record, for a supervisor who was not there."""
    from rich.console import Console

    from handsfree.page.writing import write_page
    from handsfree.record.task_file import read_task_of

    found = verified(record, None, roots, read_trusted_keys(trusted))
    with Console(stderr=True).status("Making the page"):
        target = to or Path(f"{record.resolve().name}.html")
        made = write_page(record, read_task_of(record), found, target, not no_voices)
    where = "inside" if made.beside is None else f"in {made.beside}"
    typer.echo(f"{made.page}: {made.sounds} sounds {where}.")
    if found.problems:
        typer.echo("The record does not verify; the page says why.", err=True)
        raise typer.Exit(1)
