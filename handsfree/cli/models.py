"""`handsfree models`: which models there are, adding one, choosing one, checking them all."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.errors import HandsfreeError

if TYPE_CHECKING:
    from handsfree.hearing.models.catalogue import ModelEntry

models = typer.Typer(
    help="The speech models that listen: list, add, choose, check.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)


@models.command("list")
def list_() -> None:
    """List every model: those of the catalogue, and those that were added."""
    from handsfree.hearing.models.catalogue import read_catalogue
    from handsfree.hearing.models.installed import chosen, installed_models

    added = {each.name: each for each in installed_models()}
    also = chosen()
    for entry in read_catalogue().model:
        if entry.name not in added:
            licence = entry.licence.partition(";")[0]
            _line(entry.name, _state(entry), entry.size_bytes, f"{entry.engine}. {licence}")
    for name, model in added.items():
        state = "listens too" if name == also else "added"
        _line(name, state, model.size_bytes, f"{model.engine}. From {model.source}")
    if also is not None and also not in added:
        typer.echo(f"{also} was chosen to listen, and is not there.")


@models.command()
def add(
    source: Annotated[
        str,
        typer.Argument(
            metavar="SOURCE", help="A folder, a zip file, or a name or address in the catalogue."
        ),
    ],
    name: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="What to call it.  (default: as its folder is called)"),
    ] = None,
) -> None:
    """Add a model for Vosk; the first one listens from then on."""
    from handsfree.hearing.models.installing import add_model

    with _progress() as show:
        added = add_model(source, name, show)
    model = added.model
    checked = "" if model.archive_sha256 is None else f" SHA-256 {model.archive_sha256}."
    typer.echo(
        f"added {model.name}: {len(model.sha256)} files, {model.size_bytes / 1e6:.1f} MB.{checked}"
    )
    if added.missing:
        typer.echo(
            f"It does not know the words {', '.join(added.missing)}: "
            "it has no say where one is heard.",
            err=True,
        )
    if added.listens:
        typer.echo("It listens from now on, to what is critical or in doubt.")
    else:
        typer.echo(f"Let it listen with `handsfree models use {model.name}`.")


@models.command()
def use(
    name: Annotated[
        str | None, typer.Argument(metavar="[NAME]", help="A model that was added.")
    ] = None,
) -> None:
    """Let an added model listen beside the embedded ones; without a name, let none."""
    from rich.console import Console

    from handsfree.hearing.models.installed import choose
    from handsfree.hearing.vosk.one_more import open_listener

    if name is not None:
        # One that cannot listen would be left out at every start, with a line that is soon ignored.
        with Console(stderr=True).status("Loading the speech model"):
            open_listener(name)
    choose(name)
    typer.echo(f"{name} listens too." if name else "Only the embedded models listen.")


@models.command()
def verify() -> None:
    """Check the SHA-256 of every file of every model that is there."""
    from handsfree.hearing.models.catalogue import read_catalogue
    from handsfree.hearing.models.installed import chosen, installed_models

    checks: list[tuple[str, Callable[[], int]]] = [
        (entry.name, partial(_embedded_files, entry))
        for entry in read_catalogue().model
        if entry.archive is None
    ]
    names = [each.name for each in installed_models()]
    also = chosen()
    if also is not None and also not in names:
        names.append(also)  # chosen, and gone: that is a difference
    checks += [(name, partial(_added_files, name)) for name in names]
    failed = False
    for name, check in checks:
        try:
            typer.echo(f"{name}: {check()} files, all as they should be.")
        except HandsfreeError as error:
            failed = True
            typer.echo(str(error), err=True)
    if failed:
        raise typer.Exit(1)


def _embedded_files(entry: "ModelEntry") -> int:
    return len(entry.verified_files())


def _added_files(name: str) -> int:
    from handsfree.hearing.models.installed import installed, verified_folder

    verified_folder(name)
    return len(installed(name).sha256)


def _state(entry: "ModelEntry") -> str:
    if entry.archive is not None:
        return "can be added"
    try:
        return "embedded" if entry.folder().is_dir() else "missing"
    except HandsfreeError:
        return "missing"


def _line(name: str, state: str, size_bytes: int, rest: str) -> None:
    typer.echo(f"{name:<28} {state:<13} {size_bytes / 1e6:6.1f} MB  {rest}")


@contextmanager
def _progress() -> Iterator[Callable[[int, int], None]]:
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as progress:
        bar = progress.add_task("adding", total=None)
        yield lambda done, whole: progress.update(bar, completed=done, total=whole)
