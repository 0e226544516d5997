"""The commands for a record as a person meets them: what they print, and how they end."""

import io
import json
import shutil
import sys
import wave
from dataclasses import dataclass
from pathlib import Path

import pytest

from handsfree.cli import app as cli
from tests.cli.test_app import TASK, TYPED
from tests.engine.people_task import VALVE
from tests.record.runs import KEYS, hold
from tests.record.test_time_stamp import Authority


@dataclass
class Done:
    code: int
    out: str
    err: str


class Terminal:
    """Calls the command line in this process."""

    def __init__(
        self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], keys: Path
    ) -> None:
        self._monkeypatch = monkeypatch
        self._capsys = capsys
        self.keys = keys

    def __call__(self, *words: str | Path, typed: str = "") -> Done:
        self._monkeypatch.setattr(sys, "argv", ["handsfree", *map(str, words)])
        self._monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        code = 0
        try:
            cli.main()
        except SystemExit as end:
            code = int(end.code or 0)
        read = self._capsys.readouterr()
        return Done(code, read.out, read.err)


@pytest.fixture
def handsfree(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> Terminal:
    monkeypatch.delenv("HANDSFREE_KEYS", raising=False)
    monkeypatch.delenv("HANDSFREE_TRUSTED", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    return Terminal(monkeypatch, capsys, tmp_path / "keys")


@pytest.fixture
def keys(handsfree: Terminal) -> Path:
    assert handsfree("keys", "new", "--name", "R. Almsted", "--keys", handsfree.keys).code == 0
    return handsfree.keys


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("small") / "run"
    hold(folder)
    return folder


@pytest.fixture
def record(small: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(small, tmp_path / "run"))


def test_a_new_key_is_told_with_its_public_part(handsfree: Terminal) -> None:
    done = handsfree("keys", "new", "--name", "R. Almsted", "--keys", handsfree.keys)
    assert done.code == 0
    assert f"{handsfree.keys}: key of R. Almsted\npublic key: " in done.out
    again = handsfree("keys", "new", "--name", "R. Almsted", "--keys", handsfree.keys)
    assert (again.code, again.out) == (2, "")
    assert "there is a key already" in again.err


def test_a_key_is_trusted_shown_and_revoked_and_verify_and_export_go_by_it(
    handsfree: Terminal, record: Path, keys: Path, tmp_path: Path
) -> None:
    """Without a list any seal counts; with one, only those of its keys."""
    assert handsfree("verify", record).code == 0
    assert "trusted keys: none, so any seal counts" in handsfree("keys", "show").out
    pem = keys / "public.pem"
    alone = handsfree("keys", "trust", pem, "--name", "R. Almsted", "--role", "technician")
    assert alone.code == 0
    listed = tmp_path / "settings" / "handsfree" / "trusted-keys.yaml"
    assert listed.exists()
    other = handsfree("verify", record)
    assert other.code == 1
    assert "no seal that you trust covers them (the seal of T. Person: its key is not" in other.out
    assert handsfree("export", record, tmp_path / "not trusted").code == 1
    how = ("--name", "T. Person", "--role", "inspector", "--from", "2031-01-01")
    assert handsfree("keys", "trust", KEYS.public, *how, "--until", "2031-12-31").code == 0
    verified = handsfree("verify", record)
    assert verified.code == 0, verified.out
    assert f"key {KEYS.public}, inspector, in your list" in verified.out
    told = json.loads(handsfree("verify", "--json", record).out)
    assert told["seals"][0]["owner"] == {"name": "T. Person", "role": "inspector"}
    assert handsfree("export", record, tmp_path / "trusted").code == 0
    summary = (tmp_path / "trusted" / "work-summary.md").read_text()
    assert "Sealed to its last entry by T. Person, inspector, trusted." in summary
    shown = handsfree("keys", "show", "--keys", keys).out
    assert "own key, R. Almsted: " in shown
    assert f"T. Person, inspector: {KEYS.public} from 2031-01-01 until 2031-12-31" in shown
    assert handsfree("keys", "revoke", "T. Person", "--from", "2031-06-01").code == 0
    assert "the key was revoked on 2031-06-01" in handsfree("verify", record).out
    assert "REVOKED on 2031-06-01" in handsfree("keys", "show").out
    assert handsfree("keys", "revoke", "Nobody").code == 2


@pytest.mark.skipif(not shutil.which("openssl"), reason="there is no openssl here")
def test_an_export_believes_a_revoked_key_by_a_time_stamp_of_an_authority_that_is_named(
    handsfree: Terminal, record: Path, tmp_path: Path
) -> None:
    authority = Authority(tmp_path / "authority")
    stamp = authority.stamp(record / "seal.json")
    roots = ("--roots", authority.roots)
    assert handsfree("seal", record, "--time-stamp", stamp, *roots).code == 0
    how = ("--name", "T. Person", "--role", "inspector")
    assert handsfree("keys", "trust", KEYS.public, *how).code == 0
    assert handsfree("keys", "revoke", "T. Person", "--from", "2999-01-01").code == 0
    assert handsfree("export", record, tmp_path / "not stamped").code == 1
    assert handsfree("export", record, tmp_path / "stamped", *roots).code == 0
    summary = (tmp_path / "stamped" / "work-summary.md").read_text()
    assert "Sealed to its last entry by T. Person, inspector, trusted." in summary


def test_a_task_is_interrupted_gone_on_with_verified_replayed_and_exported(
    handsfree: Terminal, keys: Path, tmp_path: Path
) -> None:
    record, lines = tmp_path / "run", TYPED.splitlines(keepends=True)
    speech = tmp_path / "speech.wav"
    how = ("--keyboard", "--keys", keys, "--speech-file", speech)
    first = handsfree("run", TASK, "--record", record, *how, typed="".join(lines[:4]))
    assert first.code == 1
    assert "not finished: 2 of 8 steps are done; step 3 was waiting." in first.out
    checked = "affirm\n" * 3  # each state, after an interruption
    measured_again = "".join(lines[3:])  # the value that was not affirmed yet
    second = handsfree("run", "--resume", record, *how, typed=checked + measured_again)
    assert second.code == 0
    assert "Going on from the record." in second.out
    verified = handsfree("verify", record)
    assert verified.code == 0, verified.out
    assert f"{record}: " in verified.out
    assert "entries, 0 clips, all as written.\nsealed by R. Almsted at " in verified.out
    replayed = handsfree("replay", record)
    assert replayed.code == 0
    assert "every decision the same." in replayed.out.splitlines()[-1]
    exported = handsfree("export", record, tmp_path / "out")
    assert exported.code == 0
    assert exported.out.splitlines() == [
        str(tmp_path / "out" / name)
        for name in ("steps.csv", "readings.csv", "record.json", "work-summary.md")
    ]
    over = handsfree("run", "--resume", record, *how)
    assert over.code == 2
    assert "the task is finished; nothing is left to do." in over.err


def test_a_run_without_a_key_says_that_the_record_is_not_sealed(
    handsfree: Terminal, tmp_path: Path
) -> None:
    done = handsfree("run", TASK, "--keyboard", "--record", tmp_path / "run")
    assert "The record will not be sealed: there is no key." in done.err
    assert not (tmp_path / "run" / "seal.json").exists()


def test_a_key_that_is_named_must_be_there(handsfree: Terminal, tmp_path: Path) -> None:
    done = handsfree("run", TASK, "--keyboard", "--keys", tmp_path / "none")
    assert done.code == 2
    assert "no key can be read (No such file or directory). Make one with" in done.err


@pytest.mark.parametrize(
    "words", [(), (str(TASK), "--resume", "x"), ("--resume", "x", "--record", "y")]
)
def test_a_run_is_new_or_gone_on_with_and_not_both(
    handsfree: Terminal, words: tuple[str, ...]
) -> None:
    done = handsfree("run", *words, "--keyboard")
    assert done.code == 2
    assert done.err == ("run: name either a TASK, with or without --record, or --resume RECORD.\n")


def test_a_record_that_cannot_begin_is_said_aloud_and_printed(
    handsfree: Terminal, tmp_path: Path
) -> None:
    speech = tmp_path / "speech.wav"
    where = Path("/proc/handsfree")  # nobody can make a folder there, not even root
    done = handsfree("run", TASK, "--keyboard", "--record", where, "--speech-file", speech)
    assert done.code == 1
    assert f"{where}: cannot be written" in done.err
    assert "The task holds here" in done.err
    with wave.open(str(speech)) as said:
        assert said.getnframes() / said.getframerate() > 2


def test_verify_prints_each_problem_and_exits_1(handsfree: Terminal, record: Path) -> None:
    (record / "task.yaml").write_text("another")
    done = handsfree("verify", record)
    assert done.code == 1
    assert done.out == ("task.yaml, entry 0: is not the task that the record was opened with.\n")


def test_verify_says_how_a_record_stands(
    handsfree: Terminal, keys: Path, record: Path, tmp_path: Path
) -> None:
    last = len((record / "log.jsonl").read_bytes().splitlines()) - 1
    assert handsfree("verify", record).out.splitlines()[-1] == (
        f"finished, sealed to entry {last} by T. Person"
    )
    handsfree("redact", record, "--reason", "asked", "--keys", keys)
    assert handsfree("verify", record).out.splitlines()[-1] == (
        f"finished, sealed to entry {last + 1} by R. Almsted, 4 clips redacted"
    )
    hold(tmp_path / "begun", ("pin fitted",))
    assert handsfree("verify", tmp_path / "begun").out.splitlines()[-1].startswith("unfinished, ")


def test_verify_of_many_is_one_line_each_and_its_code_is_that_of_the_worst(
    handsfree: Terminal, keys: Path, record: Path, tmp_path: Path
) -> None:
    unkeyed, damaged, none = tmp_path / "unkeyed", tmp_path / "damaged", tmp_path / "none"
    hold(unkeyed, keys=None)
    handsfree("seal", unkeyed, "--keys", keys)
    hold(tmp_path / "begun", ("pin fitted",))
    last = len((record / "log.jsonl").read_bytes().splitlines()) - 1
    good = handsfree("verify", record, unkeyed, tmp_path / "begun")
    assert good.code == 0
    first, second, third = good.out.splitlines()
    assert first == (
        f"{record}: all as written, {last + 1} entries, finished, "
        f"sealed to entry {last} by T. Person"
    )
    assert second.endswith(f"by R. Almsted, opened without a key until entry {last}")
    assert ", unfinished, sealed to entry " in third
    lines = (shutil.copytree(record, damaged) / "log.jsonl").read_bytes().splitlines(keepends=True)
    (damaged / "log.jsonl").write_bytes(b"".join([*lines[:5], b"{", *lines[5:]]))
    bad = handsfree("verify", record, damaged, none)
    assert bad.code == 1
    assert bad.out.splitlines()[1:] == [
        f"{damaged}: NOT IN ORDER, 5 entries hang together: log.jsonl, entry 5: is no entry: it "
        f"was changed or damaged. {last - 5} entries and 1 seal after it follow from it.",
        f"{none}: no record there (log.jsonl and task.yaml). Name the folder of a record.",
    ]
    assert handsfree("verify", record, none).code == 2


def test_verify_tells_a_program_the_same(handsfree: Terminal, record: Path, tmp_path: Path) -> None:
    damaged = Path(shutil.copytree(record, tmp_path / "damaged"))
    (damaged / "task.yaml").write_text("another")
    done = handsfree("verify", "--json", record, damaged, tmp_path / "none")
    whole, wrong, none = map(json.loads, done.out.splitlines())
    assert done.code == 1
    assert (whole["verdict"], whole["stage"]) == ("all as written", "finished")
    assert (whole["clips"], whole["clips_redacted"], whole["problems"]) == (4, 0, [])
    assert whole["seals"][0]["by"] == "T. Person"
    assert whole["seals"][0]["last_entry"] == whole["entries"] - 1
    assert wrong["verdict"] == "not in order"
    assert wrong["problems"][0]["where"] == "task.yaml, entry 0"
    assert none["verdict"] == "not read"
    assert "no record there" in none["error"]
    assert handsfree("verify", "--json", record).out.count("\n") == 1


def test_verify_lets_no_name_of_a_folder_write_a_line(
    handsfree: Terminal, record: Path, tmp_path: Path
) -> None:
    hostile = Path(shutil.copytree(record, tmp_path / "x\nrun: all as written\x1b[2J"))
    (hostile / "clips" / "y\nall as written.flac").touch()
    for words in ((hostile,), (hostile, record), ("--json", hostile)):
        done = handsfree("verify", *words)
        assert done.code == 1
        assert "\x1b" not in done.out
        assert not any(line.startswith("all as") for line in done.out.splitlines())
        assert not any(line.startswith("run: all") for line in done.out.splitlines())


def test_verify_of_no_record_is_misuse(handsfree: Terminal, tmp_path: Path) -> None:
    done = handsfree("verify", tmp_path / "none")
    assert done.code == 2
    assert "no record there" in done.err


def test_verify_with_another_persons_key_exits_1(handsfree: Terminal, record: Path) -> None:
    done = handsfree("verify", record, "--key", "ab" * 32)
    assert done.code == 1
    assert "it is not sealed with the key abab" in done.out


def test_replay_shows_a_difference_and_exits_1(handsfree: Terminal, record: Path) -> None:
    log = record / "log.jsonl"
    log.write_bytes(log.read_bytes().replace(b"Niner bar.", b"Five bar.", 1))
    done = handsfree("replay", record)
    assert done.code == 1
    assert "differs" in done.out
    assert "1 of the decisions differ." in done.out.splitlines()[-1]


def test_replay_aloud_without_a_sound_device_says_so_and_goes_on(
    handsfree: Terminal, record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = handsfree("replay", record, "--speak", "--speed", "2", "--step")
    assert done.code == 0
    assert "every decision the same." in done.out


def test_replay_shows_a_part_and_judges_all(handsfree: Terminal, record: Path) -> None:
    done = handsfree("replay", record, "--only", "exceptions")
    assert done.code == 0
    assert " shown), every decision the same." in done.out.splitlines()[-1]
    assert handsfree("replay", record, "--from", "nowhere").code == 2


def test_replay_of_a_record_that_was_cut_off_says_how_to_go_on(
    handsfree: Terminal, record: Path
) -> None:
    lines = (record / "log.jsonl").read_bytes().splitlines(keepends=True)
    (record / "log.jsonl").write_bytes(b"".join(lines[:5]))
    done = handsfree("replay", record)
    assert "The record ends before all was said; 'handsfree run --resume' goes on" in done.out


def test_redact_removes_and_tells(handsfree: Terminal, keys: Path, record: Path) -> None:
    done = handsfree("redact", record, "--reason", "asked by the person", "--keys", keys)
    assert done.code == 0
    assert done.out == (
        f"{record}: the sound of 4 clips is removed, by R. Almsted: asked by the person\n"
    )
    verified = handsfree("verify", record)
    assert verified.code == 0
    assert "0 clips, 4 removed, all as written." in verified.out


def test_seal_vouches_for_a_record_that_nobody_sealed(
    handsfree: Terminal, keys: Path, tmp_path: Path
) -> None:
    hold(tmp_path / "run", keys=None)
    assert handsfree("verify", tmp_path / "run").code == 1
    done = handsfree("seal", tmp_path / "run", "--keys", keys)
    assert done.code == 0
    assert "sealed by R. Almsted, key " in done.out
    assert handsfree("verify", tmp_path / "run", "--key", keys / "public.pem").code == 0


def test_a_time_stamp_needs_the_roots_that_are_trusted(handsfree: Terminal, record: Path) -> None:
    done = handsfree("seal", record, "--time-stamp", "x.tsr")
    assert (done.code, done.err) == (2, "seal: --time-stamp and --roots go together.\n")


def test_an_export_of_a_record_that_does_not_verify_says_so(
    handsfree: Terminal, record: Path, tmp_path: Path
) -> None:
    (record / "seal.json").unlink()
    done = handsfree("export", record, tmp_path / "out")
    assert done.code == 1
    assert "The record does not verify; the work summary says why." in done.err
    assert json.loads((tmp_path / "out" / "record.json").read_text())["problems"]


ROSTER = """\
people:
  - {name: Tarn Osk, staff_number: OA-417, authorised: {technician: 2999-12-31}}
  - {name: Olan Brek, staff_number: OA-744, authorised: {second person: 2001-12-31}}
  - {name: Sefa Lund, staff_number: OA-522, authorised: {second person: 2999-12-31}}
"""


def test_people_say_who_they_are_and_the_clock_tells_whose_authorisation_is_over(
    handsfree: Terminal, tmp_path: Path
) -> None:
    task, roster = tmp_path / "valve.yaml", tmp_path / "roster.yaml"
    task.write_text(VALVE)
    roster.write_text(ROSTER)
    how = ("--keyboard", "--speech-file", tmp_path / "speech.wav", "--record", tmp_path / "run")
    without = handsfree("run", task, *how)
    assert without.code == 2
    assert "without a roster nobody can be told apart. Name one with --roster FILE." in without.err
    assert not (tmp_path / "run").exists()
    typed = (
        "1: oscar alfa 417\n1: affirm\n2: oscar alfa 744\n2: oscar alfa 522\naffirm\npin fitted\n"
    )
    done = handsfree("run", task, "--roster", roster, *how, typed=typed)
    out = " ".join(done.out.split())
    assert "The authorisation of Olan Brek as second person expired on three one December" in out
    assert "Sefa Lund, second person." in out
    assert "not finished: 1 of 10 steps are done; step 2 was waiting." in done.out
    again = handsfree(
        "run", "--resume", tmp_path / "run", "--roster", roster, *how[:3], typed="affirm\n"
    )
    assert again.code == 2
    assert "the roster of this run is on its record; leave --roster out." in again.err
