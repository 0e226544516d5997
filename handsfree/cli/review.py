"""The command with which a supervisor accepts or rejects a record."""

from typing import Annotated

import typer

from handsfree.cli.common import utc_now
from handsfree.cli.keys_given import KeysFolder, TrustedFile, load, read_trusted_keys
from handsfree.cli.record import RecordFolder
from handsfree.errors import Misuse


def review(
    record: RecordFolder,
    remark: Annotated[
        str, typer.Option(metavar="TEXT", help="What you say about it; it goes on the record.")
    ],
    accept: Annotated[bool, typer.Option("--accept", help="You accept the work.")] = False,
    reject: Annotated[bool, typer.Option("--reject", help="You do not.")] = False,
    role: Annotated[
        str, typer.Option(metavar="ROLE", help="In what role you say so.")
    ] = "supervisor",
    trusted: TrustedFile = None,
    keys: KeysFolder = None,
) -> None:
    """Accept or reject a record with your key: a sealed entry at its end; nothing is changed."""
    from handsfree.record.reviewing import Word
    from handsfree.record.reviewing import review as put_on_record
    from handsfree.record.task_file import read_task_of
    from handsfree.visible import escaped

    if accept == reject:
        raise Misuse("review: give one of --accept and --reject.")
    word = Word(accept, remark, role)
    own = load(keys)
    believed = read_trusted_keys(trusted)
    said = put_on_record(record, read_task_of(record), word, own, utc_now, believed)
    for each in said.took_part:
        warning = f"warning: you judge your own work, and the record says so: {each}"
        typer.echo(escaped(warning), err=True)
    verdict = "accepted" if said.accepted else "rejected"
    typer.echo(escaped(f"{record}: {verdict} by {said.by}, {said.role}: {said.remark}"))
