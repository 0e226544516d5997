"""The key of a person: theirs alone, and told when it is not."""

import stat
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric.ed448 import Ed448PrivateKey
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    PrivateFormat,
    load_pem_public_key,
)

from handsfree.record.keys import KeysExist, KeysUnusable, load_keys, new_keys, read_public


def test_a_new_key_can_be_read_by_its_owner_only(tmp_path: Path) -> None:
    new_keys(tmp_path / "keys", "R. Almsted")
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "keys").iterdir()}
    assert modes["private.pem"] == 0o600
    assert stat.S_IMODE((tmp_path / "keys").stat().st_mode) == 0o700


def test_a_new_key_is_loaded_as_it_was_made(tmp_path: Path) -> None:
    made = new_keys(tmp_path / "keys", "R. Almsted")
    loaded = load_keys(tmp_path / "keys")
    assert (loaded.name, loaded.public) == ("R. Almsted", made.public)
    assert loaded.sign(b"x") == made.sign(b"x")


def test_the_public_key_in_its_file_is_that_of_the_seal(tmp_path: Path) -> None:
    made = new_keys(tmp_path / "keys", "R. Almsted")
    public = load_pem_public_key((tmp_path / "keys" / "public.pem").read_bytes())
    assert public.public_bytes_raw().hex() == made.public  # type: ignore[union-attr]


def test_openssl_reads_the_key_as_ed25519(tmp_path: Path) -> None:
    """PKCS #8 (RFC 5958, RFC 8410), read by another library."""
    new_keys(tmp_path / "keys", "R. Almsted")
    try:
        told = subprocess.check_output(
            ["openssl", "pkey", "-in", tmp_path / "keys" / "private.pem", "-noout", "-text"],
            text=True,
        )
    except FileNotFoundError:
        pytest.skip("there is no openssl here")
    assert told.startswith("ED25519 Private-Key")


def test_a_key_is_never_written_over(tmp_path: Path) -> None:
    new_keys(tmp_path / "keys", "R. Almsted")
    with pytest.raises(KeysExist, match="there is a key already"):
        new_keys(tmp_path / "keys", "S. Other")


def test_a_key_that_others_can_read_is_refused(tmp_path: Path) -> None:
    new_keys(tmp_path / "keys", "R. Almsted")
    (tmp_path / "keys" / "private.pem").chmod(0o640)
    key = tmp_path / "keys" / "private.pem"
    assert told(lambda: load_keys(tmp_path / "keys")) == (
        f"{key}: others can read this key, so they can seal in your name. Keep them out with "
        f"'chmod 600 {key}', and make a new key if they may have used it."
    )


@pytest.mark.parametrize("mode", [0o640, 0o620, 0o610, 0o604, 0o602, 0o601])
def test_a_key_that_others_can_do_anything_with_is_refused(tmp_path: Path, mode: int) -> None:
    new_keys(tmp_path / "keys", "R. Almsted")
    (tmp_path / "keys" / "private.pem").chmod(mode)
    assert "others can read this key" in told(lambda: load_keys(tmp_path / "keys"))


def test_a_key_that_its_owner_can_do_anything_with_is_taken(tmp_path: Path) -> None:
    new_keys(tmp_path / "keys", "R. Almsted")
    (tmp_path / "keys" / "private.pem").chmod(0o700)
    assert load_keys(tmp_path / "keys").name == "R. Almsted"


MAKE_ONE = "Make one with 'handsfree keys new --name NAME', or name its folder with --keys."
NAME_ONE = "Name a file such as public.pem, or the 64 figures of the key."


def told(call: Callable[[], object]) -> str:
    with pytest.raises(KeysUnusable) as refused:
        call()
    return str(refused.value)


def test_a_key_that_is_not_there_is_told_with_how_to_make_one(tmp_path: Path) -> None:
    missing = "no key can be read (No such file or directory)"
    assert told(lambda: load_keys(tmp_path)) == f"{tmp_path / 'private.pem'}: {missing}. {MAKE_ONE}"
    public = tmp_path / "public.pem"
    assert told(lambda: read_public(public)) == f"{public}: {missing}. {NAME_ONE}"


def test_a_key_of_another_kind_is_told(tmp_path: Path) -> None:
    new_keys(tmp_path / "keys", "R. Almsted")
    private, public = tmp_path / "keys" / "private.pem", tmp_path / "keys" / "public.pem"
    other = Ed448PrivateKey.generate()
    private.write_bytes(
        other.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, serialization.NoEncryption())
    )
    public.write_bytes(
        other.public_key().public_bytes(
            Encoding.PEM, serialization.PublicFormat.SubjectPublicKeyInfo
        )
    )
    what = "is a key of another kind, not Ed25519"
    assert told(lambda: load_keys(private)) == f"{private}: {what}. {MAKE_ONE}"
    assert told(lambda: read_public(public)) == f"{public}: {what}. {NAME_ONE}"


def test_a_folder_where_no_key_can_be_made_is_told(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("in the way")
    assert told(lambda: new_keys(file / "keys", "R. Almsted")) == (
        f"{file / 'keys'}: no key can be made there (Not a directory). Name a folder with --keys."
    )


def test_a_file_that_is_no_key_is_told(tmp_path: Path) -> None:
    new_keys(tmp_path / "keys", "R. Almsted")
    (tmp_path / "keys" / "private.pem").write_text("no key")
    private = tmp_path / "keys" / "private.pem"
    assert told(lambda: load_keys(tmp_path / "keys")) == (
        f"{private}: is not a key that is whole and without password. {MAKE_ONE}"
    )


def test_a_public_key_is_read_from_its_file(tmp_path: Path) -> None:
    made = new_keys(tmp_path / "keys", "R. Almsted")
    assert read_public(tmp_path / "keys" / "public.pem") == made.public
    name = tmp_path / "keys" / "name.txt"
    assert told(lambda: read_public(name)) == f"{name}: is no public key. {NAME_ONE}"


@pytest.mark.parametrize("name", ["", "  ", "a\nb"])
def test_a_key_needs_the_name_of_a_person_on_one_line(tmp_path: Path, name: str) -> None:
    assert told(lambda: new_keys(tmp_path / "keys", name)) == (
        f"{tmp_path / 'keys' / 'name.txt'}: holds no name of a person. Write the name in one line."
    )


def with_pass_phrase(folder: Path, pass_phrase: bytes) -> Path:
    """The key of the folder, as 'openssl pkey -aes256' writes it."""
    keys = load_keys(folder)
    path = folder / "private.pem"
    path.write_bytes(
        keys.private.private_bytes(
            Encoding.PEM, PrivateFormat.PKCS8, BestAvailableEncryption(pass_phrase)
        )
    )
    return path


def test_a_key_with_a_pass_phrase_is_opened_by_who_knows_it(tmp_path: Path) -> None:
    made = new_keys(tmp_path / "keys", "Vera Holm")
    path = with_pass_phrase(tmp_path / "keys", b"correct horse")
    for place in (path, path.parent):
        opened = load_keys(place, lambda: "correct horse")
        assert (opened.name, opened.public) == ("Vera Holm", made.public)
    with pytest.raises(
        KeysUnusable, match=r"the pass phrase does not open it\. Try again"
    ) as caught:
        load_keys(path, lambda: "another")
    assert "another" not in str(caught.value)
    with pytest.raises(KeysUnusable, match="is not a key that is whole and without password"):
        load_keys(path)


def test_a_key_without_a_pass_phrase_asks_for_none(tmp_path: Path) -> None:
    new_keys(tmp_path / "keys", "Vera Holm")

    def ask() -> str:
        raise AssertionError("nobody is asked")

    assert load_keys(tmp_path / "keys", ask).name == "Vera Holm"
