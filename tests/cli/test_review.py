"""`handsfree review` as a supervisor meets it."""

import json
from pathlib import Path

import pytest

from handsfree.record import Record
from handsfree.record.marks import Stopped
from tests.cli.test_record import Terminal
from tests.record.runs import KEYS, SMALL_SAID, Clock, NoSync, hold
from tests.record.test_reviewing import BAD, OTHER, give


@pytest.fixture
def handsfree(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> Terminal:
    monkeypatch.delenv("HANDSFREE_TRUSTED", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    monkeypatch.setenv("HANDSFREE_KEYS", str(tmp_path / "keys"))
    made = Terminal(monkeypatch, capsys, tmp_path / "keys")
    assert made("keys", "new", "--name", "Vera Holm", "--keys", made.keys).code == 0
    return made


@pytest.fixture
def record(tmp_path: Path) -> Path:
    hold(tmp_path / "run")
    return tmp_path / "run"


def test_what_was_accepted_is_told_and_then_verified_first(
    handsfree: Terminal, record: Path
) -> None:
    done = handsfree("review", record, "--accept", "--remark", "all well", "--role", "shift lead")
    assert (done.code, done.err) == (0, "")
    assert done.out == f"{record}: accepted by Vera Holm, shift lead: all well\n"
    first = handsfree("verify", record).out.splitlines()[0]
    assert first.startswith("review of 20")
    assert "ACCEPTED by Vera Holm, shift lead (key " in first
    assert first.endswith("“all well”. Compare the key with the one that its owner gave you.")
    [told] = json.loads(handsfree("verify", record, "--json").out)["reviews"]
    assert (told["verdict"], told["counts"]) == ("accepted", True)
    assert (
        ", accepted by Vera Holm, shift lead, finished" in handsfree("verify", record, record).out
    )


@pytest.mark.parametrize("which", [(), ("--accept", "--reject")])
def test_one_of_both_words_is_wanted(
    handsfree: Terminal, record: Path, which: tuple[str, ...]
) -> None:
    done = handsfree("review", record, *which, "--remark", "all well")
    assert (done.code, done.err) == (2, "review: give one of --accept and --reject.\n")


def test_an_unfinished_record_is_refused_with_what_to_do(
    handsfree: Terminal, tmp_path: Path
) -> None:
    hold(tmp_path / "run", SMALL_SAID[:2])
    done = handsfree("review", tmp_path / "run", "--accept", "--remark", "all well")
    assert done.code == 1
    assert "it is not finished. Have the task gone on with or done anew, or reject it." in done.err
    assert handsfree("review", tmp_path / "run", "--reject", "--remark", "no").code == 0


def test_who_judges_their_own_work_is_warned(handsfree: Terminal, tmp_path: Path) -> None:
    from handsfree.record.keys import load_keys

    hold(tmp_path / "run", keys=load_keys(handsfree.keys))
    done = handsfree("review", tmp_path / "run", "--accept", "--remark", "all well")
    assert done.code == 0
    assert done.err == (
        "warning: you judge your own work, and the record says so: began the run with this name on "
        "the key\n"
    )


def test_without_a_key_nobody_can_say_anything(
    handsfree: Terminal, record: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("HANDSFREE_KEYS", str(tmp_path / "none"))
    done = handsfree("review", record, "--accept", "--remark", "all well")
    assert done.code == 2
    assert "Make one with 'handsfree keys new --name NAME'" in done.err


def test_a_word_that_does_not_count_is_warned_of(handsfree: Terminal, record: Path) -> None:
    next((record / "clips").iterdir()).unlink()
    done = handsfree("review", record, "--reject", "--remark", "sound is missing")
    assert done.code == 0
    assert done.err == "warning: this word does not count: the record does not verify\n"


def test_who_accepts_what_another_has_rejected_is_warned(handsfree: Terminal, record: Path) -> None:
    give(record, BAD, keys=OTHER)
    done = handsfree("review", record, "--accept", "--remark", "all well")
    assert done.code == 0
    assert done.err == (
        "warning: the rejection by O. Ther stands: only the key that rejected can lift it, and not "
        "where its owner took part in the work\n"
    )
    first = handsfree("verify", record, record).out.splitlines()[0]
    assert ", rejected by O. Ther, supervisor, finished" in first


@pytest.mark.parametrize("command", ["review", "redact", "seal"])
def test_no_command_loses_a_time_stamp_unasked(
    handsfree: Terminal, record: Path, command: str
) -> None:
    words = {
        "review": ("--accept", "--remark", "all well"),
        "redact": ("--reason", "over"),
        "seal": (),
    }[command]
    (record / "seal.tsr").write_bytes(b"a stamp")
    done = handsfree(command, record, *words)
    assert done.code == 1
    assert "add --replace-time-stamp, and have the new seal stamped" in done.err
    assert (record / "seal.tsr").exists()
    assert handsfree(command, record, *words, "--replace-time-stamp").code == 0
    assert not (record / "seal.tsr").exists()


def test_with_a_key_only_its_words_are_told_as_words(handsfree: Terminal, record: Path) -> None:
    handsfree("review", record, "--accept", "--remark", "all well")
    done = handsfree("verify", record, "--key", KEYS.public)
    assert done.code == 0
    assert "This word does not count: it is of another key than you asked for." in done.out


def test_a_removal_of_sound_that_is_not_sealed_is_warned_of(
    handsfree: Terminal, record: Path
) -> None:
    clock = Clock()
    with Record.go_on(record, clock.utc, clock.since_start, None, NoSync()) as again:
        again.append(Stopped("pressure", "appended by somebody"))
    done = handsfree("redact", record, "--reason", "over")
    assert done.code == 0
    assert done.err == (
        f"warning: {record}: not sealed, for nobody vouches for the end of the work on it. "
        "'handsfree verify' tells from where on; 'handsfree seal' vouches for it.\n"
    )
