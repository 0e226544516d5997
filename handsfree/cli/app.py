"""The command line: parse, call, print."""

import json
import shlex
import sys
from pathlib import Path
from typing import Annotated

import typer

from handsfree.cli import record as cli_record
from handsfree.cli.common import (
    TaskFile,
    content_of,
    counting,
    read_checked,
    text_of,
)
from handsfree.cli.devices import devices
from handsfree.cli.hear import hear
from handsfree.cli.keys import keys_app
from handsfree.cli.models import models
from handsfree.cli.page import page
from handsfree.cli.practise import practise
from handsfree.cli.records import records
from handsfree.cli.rehear import rehear
from handsfree.cli.rehearse import rehearse
from handsfree.cli.review import review
from handsfree.cli.run import run
from handsfree.cli.streams import leave_streams, settle_streams
from handsfree.cli.tasks import tasks
from handsfree.errors import HandsfreeError, Misuse
from handsfree.running.signals import ending_by_signals

app = typer.Typer(
    help="Offline, voice-driven, hands-free step companion for aircraft maintenance.",
    epilog="It certifies nothing. Approved maintenance data, the operator's procedures and local "
    "regulations always come first.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)
app.add_typer(cli_record.app)
app.add_typer(keys_app, name="keys")
app.add_typer(models, name="models")
app.add_typer(tasks, name="tasks")
app.command()(devices)
app.command()(run)
app.command()(page)
app.command()(records)
app.command()(review)
app.command()(practise)
app.command()(rehear)
app.command()(rehearse)


def main() -> None:
    """Run the command line; a typed error is one message on stderr and an exit code."""
    settle_streams()
    try:
        try:
            with ending_by_signals():
                app()
        finally:
            leave_streams()
    except HandsfreeError as error:
        from handsfree.visible import visible_lines

        print(visible_lines(str(error)), file=sys.stderr)
        raise SystemExit(error.exit_code) from error


def _tell_version(wanted: bool) -> None:
    if not wanted:
        return
    from handsfree import __version__
    from handsfree.hearing.models.versions import models_that_listen

    typer.echo(f"handsfree {__version__}")
    for name, sha256 in models_that_listen():
        typer.echo(f"  {name}  SHA-256 {sha256}")
    raise typer.Exit


@app.callback()
def options(
    _version: Annotated[
        bool,
        typer.Option(
            "--version",
            callback=_tell_version,
            is_eager=True,
            help="Tell the version, and the SHA-256 of each file of its speech models.",
        ),
    ] = False,
) -> None:
    """Offline, voice-driven, hands-free step companion for aircraft maintenance."""


@app.command()
def check(
    task: TaskFile,
    rehearsed: Annotated[
        bool,
        typer.Option(
            "--rehearsed", help="Refuse a task whose rehearsal is missing, stale or did not hold."
        ),
    ] = False,
) -> None:
    """Prove a task: look at every way through it, and say what is in it and what to look at."""
    from handsfree.rehearse import warnings_about
    from handsfree.task.checks.advice import advise
    from handsfree.task.checks.answers import answers
    from handsfree.task.read import read_and_prove
    from handsfree.visible import escaped, visible, visible_lines

    text = text_of(task)
    with counting("Looking at every way", "situations") as watch:
        checked, proof, source = read_and_prove(text, str(task), watch)
    advice = advise(checked, source)
    with counting("Comparing how the phrases sound", "phrases") as watch:
        warnings = warnings_about(checked, source, watch)
    told = [*advice, *(each.problem for each in warnings if not each.fails)]
    answered, left = answers(checked, source, told)
    refused = [each.line for each in warnings if each.fails]
    for line in (*refused, *(each.advise(str(task)) for each in left)):
        print(visible_lines(line), file=sys.stderr)
    if refused:
        raise typer.Exit(1)
    readings = sum(hasattr(step.expect, "reading") for step in checked.steps)
    found = f"{len(left)} to look at" if left else "no problem found"
    found += f", {len(answered)} answered in the file" if answered else ""
    typer.echo(
        f"{escaped(str(task))}: {found}. {visible(checked.title)}, "
        f"revision {visible(checked.revision)}: "
        f"{len(checked.steps)} steps, {readings} readings, {len(checked.states)} states, "
        f"{len(checked.never)} never rules. Proved on every way: {proof.positions:,} situations "
        f"and {proof.moves:,} moves in {proof.walks} {'walk' if proof.walks == 1 else 'walks'}."
    )
    if rehearsed:
        from handsfree.cli.rehearsal_shown import check_rehearsal

        check_rehearsal(task, checked)


@app.command()
def show(
    task: TaskFile,
    html: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write it as one HTML file, to be printed on A4."),
    ] = None,
) -> None:
    """Show a task for review: steps, limits with worked numbers, states over the steps."""
    from hashlib import sha256

    from handsfree.rehearse import warnings_about
    from handsfree.review.sheet import sheet_of
    from handsfree.task.source import Source

    checked, _ = read_checked(task)
    sound = [each.problem for each in warnings_about(checked, Source(str(task)))]
    sheet = sheet_of(checked, sha256(content_of(task)).hexdigest(), sound)
    if html is not None:
        from handsfree.review.sheet_html import sheet_page

        if html.suffix.lower() not in (".html", ".htm"):
            # A file of that name is replaced, so it must not be able to name a task file.
            raise Misuse(f"{html}: the page needs a name that ends in .html.")
        _write(html, sheet_page(sheet))
        typer.echo(f"page: {html}")
        return
    from rich.console import Console

    from handsfree.review.sheet_text import print_sheet

    print_sheet(sheet, Console(highlight=False))


@app.command()
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The task file to begin (YAML).")],
) -> None:
    """Write a commented starter for a task file."""
    from handsfree.authoring.new_file import write_new
    from handsfree.authoring.starter import starter_for

    write_new(file, starter_for(file))
    typer.echo(
        f"written: {file}. Put your own words in, then: handsfree check {shlex.quote(str(file))}"
    )


@app.command()
def schema() -> None:
    """Print the JSON Schema of task files, for editors that complete and check them."""
    from handsfree.authoring.schema import task_schema

    typer.echo(json.dumps(task_schema(), indent=2, ensure_ascii=False))


@app.command("import")
def import_module(
    module: Annotated[
        Path, typer.Argument(metavar="MODULE", help="A procedural data module (S1000D, XML).")
    ],
    to: Annotated[Path, typer.Option(metavar="TASK", help="The task file to write; new.")],
) -> None:
    """Make a draft task from an S1000D procedural data module, and list what it leaves out."""
    from handsfree.authoring.data_module import read_module
    from handsfree.authoring.draft_yaml import draft_yaml
    from handsfree.authoring.new_file import write_new
    from handsfree.visible import visible

    data = content_of(module, "a data module")
    draft = read_module(data, str(module))
    write_new(to, draft_yaml(draft))
    for left in draft.left:
        typer.echo(visible(f"{module}:{left.line}: not taken over: {left.path}: {left.text}"))
    for step in draft.long_steps:
        typer.echo(f"{module}:{step.line}: {step.place} is too long for one instruction: split it")
    typer.echo(
        f"draft: {to}, {len(draft.steps)} steps; not taken over: {len(draft.left)}. "
        f"Settle each todo in it, then: handsfree check {shlex.quote(str(to))}"
    )


def _write(path: Path, text: str) -> None:
    from handsfree.files.whole import replace_file

    try:
        replace_file(path, text.encode())
    except OSError as error:
        raise Misuse(f"{path}: cannot be written ({error.strerror}). Name another file.") from error


# Last, as it is in the help.
app.command()(hear)
