"""The key of a person, with which they seal records. Ed25519 (RFC 8032)."""

import os
import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.errors import HandsfreeError
from handsfree.files.plain import open_plain, plain_bytes
from handsfree.files.whole import write_new_files
from handsfree.words.seen import is_seen

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

PRIVATE = "private.pem"
PUBLIC = "public.pem"
NAME = "name.txt"
_SIGNATURE = re.compile("[0-9a-f]{128}")
_KEY = re.compile("[0-9a-f]{64}")
_MOST_BYTES = 64 * 1024  # a key has some hundred


class KeysExist(HandsfreeError):
    """There are keys in the folder already."""

    exit_code = 2

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"{folder}: there is a key already, and a lost key cannot be made again. Name another "
            "folder with --keys, or move the old key away."
        )


class KeysUnusable(HandsfreeError):
    """The keys are not there, not whole, or open to others."""

    exit_code = 2

    def __init__(self, path: Path, why: str, instead: str) -> None:
        super().__init__(f"{path}: {why}. {instead}.")


@dataclass(frozen=True, slots=True)
class Keys:
    """A person's name with the key that they seal with."""

    name: str
    private: "Ed25519PrivateKey"

    @property
    def public(self) -> str:
        """The public key: 32 bytes (RFC 8032, 5.1.5) in hexadecimal."""
        return self.private.public_key().public_bytes_raw().hex()

    def sign(self, content: bytes) -> str:
        """The signature: 64 bytes (RFC 8032, 5.1.6) in hexadecimal."""
        return self.private.sign(content).hex()


def is_signed(content: bytes, signature: str, key: str) -> bool:
    """Whether it is the signature, in hexadecimal, of this public key over this content."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    if not _SIGNATURE.fullmatch(signature) or not _KEY.fullmatch(key):
        return False
    try:
        public = Ed25519PublicKey.from_public_bytes(bytes.fromhex(key))
        public.verify(bytes.fromhex(signature), content)
    except (InvalidSignature, ValueError):
        return False
    return True


def new_keys(folder: Path, name: str) -> Keys:
    """Make a key for a person; only its owner can read it. Raises KeysExist or KeysUnusable.

    It is not encrypted: the tool must seal without anybody typing, so who can use the account can
    use the key.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import (
        Encoding,
        NoEncryption,
        PrivateFormat,
        PublicFormat,
    )

    keys = Keys(_checked(name, folder / NAME), Ed25519PrivateKey.generate())
    pem = keys.private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    public = keys.private.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)
    try:
        made = not folder.exists()
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if any((folder / each).exists() for each in (PRIVATE, PUBLIC)):
            raise KeysExist(folder)
        # A name alone is what a loss of power can leave, and no key.
        (folder / NAME).unlink(missing_ok=True)
        try:
            write_new_files(
                [
                    (folder / NAME, f"{name}\n".encode()),
                    (folder / PRIVATE, pem),
                    (folder / PUBLIC, public),
                ],
                mode=0o600,
            )
        except OSError:
            if made:
                with suppress(OSError):
                    folder.rmdir()
            raise
    except OSError as error:
        raise KeysUnusable(
            folder, f"no key can be made there ({error.strerror})", "Name a folder with --keys"
        ) from error
    return keys


def load_keys(place: Path, ask: Callable[[], str] | None = None) -> Keys:
    """The keys in a folder, or that of a file, beside which the name stands; raises KeysUnusable.

    `ask` gives the pass phrase of a key that has one; None: nobody is there who could type it.
    """
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    path = place if place.is_file() else place / PRIVATE
    folder = path.parent
    make = "Make one with 'handsfree keys new --name NAME', or name its folder with --keys"
    try:
        with open_plain(path) as file:
            if os.fstat(file.fileno()).st_mode & 0o077:
                raise KeysUnusable(
                    path, "others can read this key, so they can seal in your name", _close(path)
                )
            private = _private(file.read(_MOST_BYTES), path, ask)
        name = plain_bytes(folder / NAME, _MOST_BYTES).decode().strip()
    except OSError as error:
        raise KeysUnusable(path, f"no key can be read ({error.strerror})", make) from error
    except (ValueError, TypeError, UnsupportedAlgorithm) as error:
        raise KeysUnusable(path, "is not a key that is whole and without password", make) from error
    if not isinstance(private, Ed25519PrivateKey):
        raise KeysUnusable(path, "is a key of another kind, not Ed25519", make)
    return Keys(_checked(name, folder / NAME), private)


def _private(pem: bytes, path: Path, ask: Callable[[], str] | None) -> object:
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        return load_pem_private_key(pem, password=None)
    except TypeError:  # it has a pass phrase
        if ask is None:
            raise
    try:
        return load_pem_private_key(pem, password=ask().encode())
    except ValueError as error:
        raise KeysUnusable(path, "the pass phrase does not open it", "Try again") from error


def read_public(path: Path) -> str:
    """The public key in a PEM file, in hexadecimal; raises KeysUnusable."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    from cryptography.hazmat.primitives.serialization import load_pem_public_key

    what = f"Name a file such as {PUBLIC}, or the 64 figures of the key"
    try:
        key = load_pem_public_key(plain_bytes(path, _MOST_BYTES))
    except OSError as error:
        raise KeysUnusable(path, f"no key can be read ({error.strerror})", what) from error
    except ValueError as error:
        raise KeysUnusable(path, "is no public key", what) from error
    if not isinstance(key, Ed25519PublicKey):
        raise KeysUnusable(path, "is a key of another kind, not Ed25519", what)
    return key.public_bytes_raw().hex()


def _close(path: Path) -> str:
    return f"Keep them out with 'chmod 600 {path}', and make a new key if they may have used it"


def _checked(name: str, path: Path) -> str:
    if not name.strip() or not all(map(is_seen, name)):
        raise KeysUnusable(path, "holds no name of a person", "Write the name in one line")
    return name
