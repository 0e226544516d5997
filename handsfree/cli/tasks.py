"""`handsfree tasks`: the example tasks that come with handsfree, and copying one to begin from."""

from pathlib import Path
from typing import Annotated

import typer

from handsfree.errors import Misuse
from handsfree.files.whole import write_new_files
from handsfree.places import shipped_tasks

tasks = typer.Typer(
    help="The example tasks: list them, or copy one.",
    invoke_without_command=True,
    pretty_exceptions_enable=False,
)

# What each example is done with, or was made from; all of it is copied with the task.
EXAMPLES = {
    "accumulator-nitrogen": (
        "DMC-QUILLANE40-A-29-30-00-00A-214A-A_002-00_EN-GB.xml",
        "accumulator-nitrogen.rehearsal.json",
        "accumulator-nitrogen.rehearsal.html",
    ),
    "door-slide-refit": (
        "door-slide-equipment.csv",
        "door-slide-roster.yaml",
        "door-slide-refit.rehearsal.json",
        "door-slide-refit.rehearsal.html",
    ),
    "practice": (),
}


@tasks.callback()
def list_(context: typer.Context) -> None:
    """List the example tasks, or copy one."""
    if context.invoked_subcommand is not None:
        return
    from handsfree.cli.common import read_checked

    for name in EXAMPLES:
        task, _ = read_checked(shipped_tasks() / f"{name}.yaml")
        typer.echo(f"{name:<22} {len(task.steps):3} steps  {task.title}")
    typer.echo("They are invented: use none of them on an aircraft.")


@tasks.command()
def copy(
    name: Annotated[str, typer.Argument(metavar="NAME", help="An example, as the list calls it.")],
    to: Annotated[
        Path, typer.Argument(metavar="[FOLDER]", help="A folder.  (default: this one)")
    ] = Path(),
) -> None:
    """Copy an example task, with the files that belong to it; nothing is written over."""
    if name not in EXAMPLES:
        raise Misuse(f"tasks: no example is called '{name}'. There are: {', '.join(EXAMPLES)}.")
    if not to.is_dir():
        raise Misuse(f"tasks: {to}: is no folder. Make it first, or name another.")
    names = (f"{name}.yaml", *EXAMPLES[name])
    for each in names:
        if (to / each).exists():
            raise Misuse(f"tasks: {to / each}: is there already. Name another folder.")
    try:
        write_new_files([(to / each, (shipped_tasks() / each).read_bytes()) for each in names])
    except OSError as error:
        raise Misuse(
            f"tasks: {to}: cannot be written ({error.strerror}). Name another folder."
        ) from error
    for each in names:
        typer.echo(f"written: {to / each}")
