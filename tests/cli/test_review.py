"""`handsfree review` as a supervisor meets it."""

import json
from pathlib import Path

import pytest

from tests.cli.test_record import Terminal
from tests.record.runs import SMALL_SAID, hold


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
