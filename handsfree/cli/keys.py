"""The commands for keys: a person's own, and those of others that they trust."""

from datetime import date, datetime
from typing import Annotated

import typer

from handsfree.cli.common import utc_now
from handsfree.cli.keys_given import (
    KeysFolder,
    TrustedFile,
    default_keys,
    default_trusted,
    public_key,
    read_trusted_keys,
)

keys_app = typer.Typer(
    help="The key of a person, to seal records with, and the keys that one trusts.",
    no_args_is_help=True,
)


@keys_app.command("new")
def new(
    name: Annotated[str, typer.Option(metavar="NAME", help="Whose key it is, as it is signed.")],
    keys: KeysFolder = None,
) -> None:
    """Make a key."""
    from handsfree.record.keys import PUBLIC, new_keys

    folder = keys or default_keys()
    made = new_keys(folder, name)
    typer.echo(f"{folder}: key of {name}")
    typer.echo(f"public key: {made.public}")
    typer.echo(f"Give the public key, or {PUBLIC}, to whoever verifies your records.")


@keys_app.command("trust")
def trust(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="The public key: its file, or its 64 figures.")
    ],
    name: Annotated[str, typer.Option(metavar="NAME", help="Whose it is, as they sign.")],
    role: Annotated[str, typer.Option(metavar="ROLE", help="What they do, such as technician.")],
    valid_from: Annotated[
        datetime | None,
        typer.Option("--from", formats=["%Y-%m-%d"], metavar="DATE", help="The first day."),
    ] = None,
    valid_until: Annotated[
        datetime | None,
        typer.Option("--until", formats=["%Y-%m-%d"], metavar="DATE", help="The last day."),
    ] = None,
    trusted: TrustedFile = None,
) -> None:
    """Believe the seals of a key, which its owner gave you."""
    from handsfree.record.trusted import Trusted, TrustedKey, write_trusted

    path = trusted or default_trusted()
    known = read_trusted_keys(path) if path.exists() else None
    key = public_key(file)
    assert key is not None
    added = TrustedKey(name, role, key.lower(), _day(valid_from), _day(valid_until))
    write_trusted(path, (known or Trusted(())).with_key(added, path))
    typer.echo(f"{path}: trusts the key of {name}, {role}: {added.key}")


@keys_app.command("revoke")
def revoke(
    which: Annotated[str, typer.Argument(metavar="NAME", help="Whose key, or its 64 figures.")],
    since: Annotated[
        datetime | None,
        typer.Option(
            "--from",
            formats=["%Y-%m-%d"],
            metavar="DATE",
            help="Since when somebody else may have it.  (default: today)",
        ),
    ] = None,
    trusted: TrustedFile = None,
) -> None:
    """Believe a key no more, but where a time stamp shows that a seal is older."""
    from handsfree.record.trusted import Trusted, write_trusted

    path = trusted or default_trusted()
    known = (read_trusted_keys(path) if path.exists() else None) or Trusted(())
    day = _day(since) or utc_now().date()
    write_trusted(path, known.without(which, day, path))
    typer.echo(f"{path}: the key of {which} is revoked from {day} on")


@keys_app.command("show")
def show(keys: KeysFolder = None, trusted: TrustedFile = None) -> None:
    """Show one's own key, and those that are trusted."""
    from handsfree.record.keys import load_keys
    from handsfree.record.trusted import told
    from handsfree.visible import escaped

    folder = keys or default_keys()
    if keys is not None or folder.exists():
        own = load_keys(folder)
        typer.echo(escaped(f"own key, {own.name}: {own.public}"))
    else:
        typer.echo("own key: none; 'handsfree keys new' makes one")
    path = trusted or default_trusted()
    known = read_trusted_keys(trusted)
    if known is None:
        typer.echo(f"trusted keys: none, so any seal counts; 'handsfree keys trust' writes {path}")
        return
    typer.echo(escaped(f"trusted keys, in {path}:"))
    for line in told(known.keys):
        typer.echo(escaped(f"  {line}"))


def _day(moment: datetime | None) -> date | None:
    return None if moment is None else moment.date()
