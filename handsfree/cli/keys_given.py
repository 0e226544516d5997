"""Keys, and lists of trusted ones: those that are named, or those of the account."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.cli.common import text_of
from handsfree.errors import Misuse

if TYPE_CHECKING:
    from handsfree.record.keys import Keys
    from handsfree.record.trusted import Trusted

KeysFolder = Annotated[
    Path | None,
    typer.Option(
        "--keys",
        metavar="FOLDER",
        envvar="HANDSFREE_KEYS",
        help="Where the key is.  (default: keys/ in the settings of handsfree)",
    ),
]
TrustedFile = Annotated[
    Path | None,
    typer.Option(
        "--trusted",
        metavar="FILE",
        envvar="HANDSFREE_TRUSTED",
        help="The list of keys that you trust.  (default: trusted-keys.yaml in the settings of "
        "handsfree, where it is there)",
    ),
]


def default_keys() -> Path:
    """Where the key of this account is."""
    return Path(typer.get_app_dir("handsfree")) / "keys"


def default_trusted() -> Path:
    """Where the list of trusted keys is."""
    return Path(typer.get_app_dir("handsfree")) / "trusted-keys.yaml"


def read_trusted_keys(path: Path | None) -> "Trusted | None":
    """The list of the file, or of the account where it has one; raises TrustedKeysError."""
    from handsfree.record.trusted import read_trusted

    if path is None:
        path = default_trusted()
        if not path.exists():
            return None
    return read_trusted(text_of(path, "a list of trusted keys"), str(path))


def load(keys: Path | None) -> "Keys":
    """The keys in the folder, or those of the account; raises KeysUnusable."""
    from handsfree.record.keys import load_keys

    return load_keys(keys or default_keys())


def load_of_person(keys: Path | None) -> "Keys":
    """As `load`, of a person who sits at the terminal: a key may have a pass phrase."""
    from handsfree.record.keys import load_keys

    return load_keys(keys or default_keys(), ask_pass_phrase)


def ask_pass_phrase() -> str:
    """Typed at the terminal, and not shown there; raises Misuse where there is none."""
    import getpass

    if not sys.stdin.isatty():
        raise Misuse("the key has a pass phrase, and there is no terminal to type it at.")
    return getpass.getpass("Pass phrase of the key: ")


def load_if_there(keys: Path | None) -> "Keys | None":
    """The keys, as `load` has them; None where none is named and the account has none: told."""
    if keys is None and not default_keys().exists():
        print(
            "The record will not be sealed: there is no key. 'handsfree keys new' makes one.",
            file=sys.stderr,
        )
        return None
    return load(keys)


def public_key(key: str | None) -> str | None:
    """The key itself in hexadecimal, of its figures or of its file; raises KeysUnusable."""
    from handsfree.record.keys import read_public

    if key is None or (len(key) == 64 and set(key.lower()) <= set("0123456789abcdef")):
        return key
    return read_public(Path(key))
