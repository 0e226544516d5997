"""Whose seals are believed: by a list of keys that a person keeps, and by nothing else."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given
from hypothesis import strategies as st

from handsfree.record.keys import Keys
from handsfree.record.trusted import (
    Trusted,
    TrustedKey,
    TrustedKeysError,
    TrustedKeysNotWritten,
    as_text,
    read_trusted,
)
from handsfree.record.verify import verify
from tests.record.runs import KEYS, go_on, hold

OWN = TrustedKey("T. Person", "technician", KEYS.public)
NAMESAKE = Keys("T. Person", Ed25519PrivateKey.from_private_bytes(bytes(range(3, 35))))


def problems(folder: Path, *keys: TrustedKey) -> list[str]:
    return [str(each) for each in verify(folder, trusted=Trusted(keys)).problems]


def test_a_record_under_a_trusted_key_is_as_written(tmp_path: Path) -> None:
    hold(tmp_path / "run")
    found = verify(tmp_path / "run", trusted=Trusted((OWN,)))
    assert (found.problems, found.owners) == ((), (OWN,))


def test_a_record_under_no_trusted_key_is_not(tmp_path: Path) -> None:
    hold(tmp_path / "run")
    (problem,) = problems(tmp_path / "run")
    assert "no seal that you trust covers them" in problem
    assert "the seal of T. Person: its key is not among those that you trust" in problem


def test_who_has_another_key_of_the_same_name_cannot_finish_a_record(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    hold(folder, ("pin fitted",))
    before = verify(folder).entries
    go_on(folder, keys=NAMESAKE)
    (problem,) = problems(folder, OWN)
    assert problem.startswith(f"seal.json, entries {before} to {verify(folder).entries - 1}: ")
    assert problems(folder, OWN, TrustedKey("T. Person", "again", NAMESAKE.public)) == []


@pytest.mark.parametrize(
    ("key", "why"),
    [
        (TrustedKey("S. Person", "x", KEYS.public), "it calls itself T. Person, and the key is"),
        (
            TrustedKey("T. Person", "x", KEYS.public, valid_from=date(2031, 5, 5)),
            "it was made on 2031-05-04, and the key counts from 2031-05-05",
        ),
        (
            TrustedKey("T. Person", "x", KEYS.public, valid_until=date(2031, 5, 3)),
            "it was made on 2031-05-04, and the key counted until 2031-05-03",
        ),
        (
            # Also where the seal is older by its own clock, which whoever stole the key can set.
            TrustedKey("T. Person", "x", KEYS.public, revoked=date(2031, 5, 5)),
            "the key was revoked on 2031-05-05, and no time stamp that was checked shows",
        ),
    ],
)
def test_a_key_counts_for_its_owner_in_its_time(tmp_path: Path, key: TrustedKey, why: str) -> None:
    hold(tmp_path / "run")  # on 2031-05-04
    (problem,) = problems(tmp_path / "run", key)
    assert why in problem


def test_a_key_counts_on_its_first_and_its_last_day(tmp_path: Path) -> None:
    hold(tmp_path / "run")
    day = date(2031, 5, 4)
    assert problems(tmp_path / "run", TrustedKey("T. Person", "x", KEYS.public, day, day)) == []


def test_a_time_stamp_from_before_saves_a_seal_of_a_key_that_was_revoked(tmp_path: Path) -> None:
    hold(tmp_path / "run")
    seal = verify(tmp_path / "run").seals[0]
    key = TrustedKey("T. Person", "x", KEYS.public, revoked=date(2031, 5, 6))
    assert key.why_not(seal, datetime(2031, 5, 5, 23, tzinfo=UTC)) is None
    assert key.why_not(seal, datetime(2031, 5, 6, 0, tzinfo=UTC)) is not None


TEXT = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1)


@given(
    st.lists(
        st.builds(
            TrustedKey,
            TEXT,
            TEXT,
            st.from_regex(r"[0-9a-f]{64}", fullmatch=True),
            *([st.none() | st.dates()] * 3),
        ),
        unique_by=lambda each: each.key,
    )
)
def test_a_list_is_read_as_it_was_written(keys: list[TrustedKey]) -> None:
    assert read_trusted(as_text(Trusted(tuple(keys))), "list") == Trusted(tuple(keys))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "keys: [{name: A, role: b, key: abc}]",
            "list:1:27: 'abc' is no public key. Write its 64 figures, 0 to 9 and a to f",
        ),
        ("keys: [{name: A, key: " + "a" * 64 + "}]", "list:1:8: key 'role' is missing. Write it"),
        (
            'keys: [{name: "A\\e[2J", role: b, key: ' + "a" * 64 + "}]",
            "list:1:9: the text is empty, or has what cannot be seen. Write it in one line",
        ),
        (
            "keys: [" + ", ".join(["{name: A, role: b, key: " + "a" * 64 + "}"] * 2) + "]",
            "list:1:118: the key of A is that of A too. Keep one of them",
        ),
        ("keys: 1", "list:1:"),
        ("people: []", "list:1:"),
        ("keys: [", "list:"),
    ],
)
def test_a_list_that_is_wrong_is_told_with_its_place(text: str, message: str) -> None:
    with pytest.raises(TrustedKeysError) as caught:
        read_trusted(text, "list")
    assert message in str(caught.value)
    assert caught.value.exit_code == 2


UNSEEN = "list: a name or a role is empty, or has what cannot be seen. Write it in one line."


@pytest.mark.parametrize(
    ("key", "message"),
    [
        (
            OWN,
            "list: the key of T. Person is there already, as technician. "
            "Change its entry in the file.",
        ),
        (TrustedKey("A", "b", "c"), "list: that is no key. Name 64 figures, or a PEM file."),
        (TrustedKey("A\x1b", "b", "a" * 64), UNSEEN),
        (TrustedKey(" ", "b", "a" * 64), UNSEEN),
    ],
)
def test_a_key_that_cannot_be_trusted_is_refused(key: TrustedKey, message: str) -> None:
    with pytest.raises(TrustedKeysNotWritten) as caught:
        Trusted((OWN,)).with_key(key, Path("list"))
    assert str(caught.value) == message


def test_only_a_key_that_is_there_is_revoked() -> None:
    with pytest.raises(TrustedKeysNotWritten) as caught:
        Trusted((OWN,)).without("B", date(2031, 5, 4), Path("list"))
    told = "list: there is no key of 'B'. It has keys of: T. Person."
    assert str(caught.value) == told
    with pytest.raises(TrustedKeysNotWritten, match="It has keys of: nobody"):
        Trusted(()).without("B", date(2031, 5, 4), Path("list"))
