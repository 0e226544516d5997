"""The command for many records."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.cli.common import content_of, local_now, utc_now
from handsfree.cli.keys_given import TrustedFile, load_of_person, public_key, read_trusted_keys
from handsfree.cli.outside_records import outside_records
from handsfree.cli.record import NoVoices, Roots
from handsfree.errors import Misuse

if TYPE_CHECKING:
    from handsfree.index.collection import Collection
    from handsfree.index.exporting import Table
    from handsfree.index.indexing import Indexed, Watch
    from handsfree.index.word_given import Reviewer


def records(
    folder: Annotated[
        Path,
        typer.Argument(
            metavar="FOLDER", help="A folder with records, however deep in it.", show_default=False
        ),
    ],
    port: Annotated[
        int | None,
        typer.Option(min=0, max=65535, metavar="N", help="Serve on this port.  (default: 8348)"),
    ] = None,
    host: Annotated[
        str | None,
        typer.Option(
            metavar="NAME",
            help="Serve on this address, with a token.  (default: this machine only)",
        ),
    ] = None,
    export: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write a table to a new .csv or .parquet, and end."),
    ] = None,
    table: Annotated[
        str | None,
        typer.Option(
            metavar="TABLE",
            help="Export records, steps, readings, said, findings or eyes.  (default: steps)",
        ),
    ] = None,
    index: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Where the index is.  (default: in the user's cache)"),
    ] = None,
    anew: Annotated[
        bool, typer.Option("--anew", help="Read every record again, changed or not.")
    ] = False,
    key: Annotated[
        str | None,
        typer.Option(metavar="KEY", help="The public key whose seals count: in hex, or its file."),
    ] = None,
    no_voices: NoVoices = False,
    roots: Roots = None,
    trusted: TrustedFile = None,
    reviewer_key: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Your private key: pages of records take your word, signed with it.",
        ),
    ] = None,
) -> None:
    """Search and compare many records in a browser, or export them as one table."""
    from handsfree.index.collection import Collection
    from handsfree.index.exporting import Table
    from handsfree.index.noting import Trust
    from handsfree.index.store import Store

    wanted = next((each for each in Table if each.value == (table or "steps")), None)
    if wanted is None:
        known = ", ".join(each.value for each in Table)
        raise Misuse(f"records: there is no table '{table}'. There is: {known}.")
    if table is not None and export is None:
        raise Misuse("records: --table goes with --export.")
    if export is not None and (port, host, reviewer_key) != (None, None, None):
        raise Misuse(
            "records: an export is not served; leave out --port, --host and --reviewer-key."
        )
    if not folder.is_dir():
        raise Misuse(f"{folder}: is no folder. Name the folder that holds the records.")
    if roots is not None:
        content_of(roots, "a file of certificates")
    reviewer = None if reviewer_key is None else _reviewer(reviewer_key)
    trust = Trust(public_key(key), roots, read_trusted_keys(trusted))
    with Store(_place_of_index(folder, index)) as store:
        if anew:
            store.empty()
        collection = Collection(folder, store, trust, local_now, with_voices=not no_voices)
        typer.echo(f"index: {store.path} (made from the records; it may be removed at any time)")
        with _reading() as watch:
            found = collection.look(watch)
        typer.echo(_told(folder, found))
        if export is not None:
            _export(collection, wanted, export)
        else:
            _serve(collection, host, port, reviewer)


def _reviewer(key: Path) -> "Reviewer":
    """Who gives their word on the pages, once the pass phrase of their key was typed."""
    from handsfree.index.word_given import Reviewer

    return Reviewer(load_of_person(key), utc_now)


def _place_of_index(folder: Path, named: Path | None) -> Path:
    """Where the index is."""
    from handsfree.places import index_of_records

    return outside_records(named or index_of_records(folder), "--index")


@contextmanager
def _reading() -> "Iterator[Watch]":
    """Show on stderr how many records were read of how many."""
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as progress:
        bar = progress.add_task("Reading records", total=None)
        yield lambda done, of: progress.update(bar, completed=done, total=of)


def _told(folder: Path, found: "Indexed") -> str:
    parts = [f"{folder}: {found.records} {'record' if found.records == 1 else 'records'}"]
    if found.read:
        rate = found.read / max(found.seconds, 0.001)
        parts.append(f"{found.read} new or changed, read in {found.seconds:.1f} s ({rate:.0f}/s)")
    else:
        parts.append("none new or changed")
    if found.gone:
        parts.append(f"{found.gone} gone since")
    if found.not_followed:
        parts.append(f"{found.not_followed} links or folders not looked into")
    return ", ".join(parts)


def _export(collection: "Collection", table: "Table", to: Path) -> None:
    from handsfree.cli.common import waiting
    from handsfree.index.exporting import write_table
    from handsfree.index.filters import Filters

    with collection.ask() as ask, waiting("Writing the table"):
        write_table(ask, table, Filters(), to)
    typer.echo(str(to))


def _serve(
    collection: "Collection", host: str | None, port: int | None, reviewer: "Reviewer | None"
) -> None:
    from handsfree.index.serving import DEFAULT_HOST, DEFAULT_PORT, OpenList

    with (
        collection,
        OpenList(
            collection, host or DEFAULT_HOST, DEFAULT_PORT if port is None else port, reviewer
        ) as opened,
    ):
        typer.echo(f"records: {opened.url}")
        typer.echo("Ctrl-C ends it.")
        collection.keep_looking()
        with suppress(KeyboardInterrupt):
            opened.wait()
