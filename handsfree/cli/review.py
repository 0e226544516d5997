"""The command with which a supervisor accepts or rejects a record."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.cli.common import utc_now
from handsfree.cli.keys_given import KeysFolder, TrustedFile, load_of_person, read_trusted_keys
from handsfree.cli.record import RecordFolder, ReplaceTimeStamp, Roots, verified
from handsfree.errors import Misuse

if TYPE_CHECKING:
    from handsfree.record.verify import Verified


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
    roots: Roots = None,
    replace_time_stamp: ReplaceTimeStamp = False,
) -> None:
    """Accept or reject a record with your key: a signed entry at its end; nothing is changed."""
    from handsfree.record.reviewing import Word
    from handsfree.record.reviewing import review as put_on_record
    from handsfree.record.task_file import read_task_of
    from handsfree.visible import escaped

    if accept == reject:
        raise Misuse("review: give one of --accept and --reject.")
    word = Word(accept, remark, role)
    own = load_of_person(keys)
    believed = read_trusted_keys(trusted)
    said = put_on_record(
        record,
        read_task_of(record),
        word,
        own,
        utc_now,
        believed,
        roots=roots,
        replace_time_stamp=replace_time_stamp,
    )
    for each in said.took_part:
        warning = f"warning: you judge your own work, and the record says so: {each}"
        typer.echo(escaped(warning), err=True)
    for warning in _what_stands_against_it(verified(record, None, roots, believed)):
        typer.echo(escaped(f"warning: {warning}"), err=True)
    verdict = "accepted" if said.accepted else "rejected"
    typer.echo(escaped(f"{record}: {verdict} by {said.by}, {said.role}: {said.remark}"))


def _what_stands_against_it(found: "Verified") -> Iterator[str]:
    """Why the word that was just given does not settle it."""
    latest = found.reviews[0]
    if not latest.counts:
        yield f"this word does not count: {latest.why_not}"
    rejection = found.rejection
    if latest.said.accepted and rejection is not None:
        yield (
            f"the rejection by {rejection.by} stands: only the key that rejected can lift it, and "
            "not where its owner took part in the work"
        )
