"""However a run ends, the record tells why, and it is sealed; a lost screen does not end it."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

import pytest

from handsfree.cli.app import main
from handsfree.engine.phase import Phase
from handsfree.record import Record
from handsfree.record.entries import read_entries
from handsfree.record.keys import new_keys
from handsfree.record.marks import NotHeard, ScreenLost, Stopped
from handsfree.record.replay import replay
from handsfree.record.verify import verify
from handsfree.running.loop import RunFailed, run
from handsfree.running.parts import Utterance
from handsfree.running.signals import RunStopped, StopSignals
from handsfree.words.phrases import PhraseSet
from tests.engine.conversation import BOTTLE, TASK
from tests.record.runs import KEYS, NoScreen, NoSync
from tests.running.test_loop import Lines
from tests.shipped_tasks import FOLDER

ROOT = Path(__file__).parents[2]


class Voice:
    def __init__(self) -> None:
        self.said: list[str] = []

    def say(self, text: str) -> None:
        self.said.append(text)

    def close(self) -> None:
        pass


@contextmanager
def opened(folder: Path) -> Iterator[Record]:
    now = datetime(2031, 5, 4, tzinfo=UTC)
    with Record(folder, BOTTLE, lambda: now, lambda: timedelta(0), KEYS, NoSync()) as record:
        yield record


class Breaks:
    """An ear in which something goes wrong that nobody thought of."""

    def __init__(self, error: BaseException) -> None:
        self._error = error

    def hear(
        self, phrases: PhraseSet, until: timedelta | None = None
    ) -> Utterance | NotHeard | None:
        raise self._error


def test_a_mistake_of_ours_is_said_recorded_sealed_and_told(tmp_path: Path) -> None:
    voice = Voice()
    with (
        opened(tmp_path / "run") as record,
        pytest.raises(RunFailed, match=r"ZeroDivisionError: one by none.*run --resume .*run'"),
    ):
        run(TASK, Breaks(ZeroDivisionError("one by none")), record, voice, NoScreen())
    assert voice.said[-1].startswith("This program has failed and stops now.")
    last = list(read_entries(tmp_path / "run"))[-1].value
    assert isinstance(last, Stopped)
    assert last.reason == "a mistake in handsfree: ZeroDivisionError: one by none"
    assert verify(tmp_path / "run").problems == ()


def test_a_failed_voice_does_not_hide_why_the_run_ends(tmp_path: Path) -> None:
    class Dumb(Voice):
        def say(self, text: str) -> None:
            raise ZeroDivisionError("no breath")

    with opened(tmp_path / "run") as record, pytest.raises(RunFailed, match="no breath"):
        run(TASK, Lines("pin fitted"), record, Dumb(), NoScreen())
    assert isinstance(list(read_entries(tmp_path / "run"))[-1].value, Stopped)


class Torn(NoScreen):
    """A screen that goes with the second thing shown."""

    shown = 0

    def said(self, say: object) -> None:
        self.shown += 1
        if self.shown > 1:
            raise BrokenPipeError("nobody reads what is shown")


def test_a_run_without_its_screen_says_so_once_and_goes_on(tmp_path: Path) -> None:
    voice, screen = Voice(), Torn()
    with opened(tmp_path / "run") as record:
        end = run(TASK, Lines("pin fitted"), record, voice, screen)
    assert end.phase is Phase.ANSWERING
    assert end.step == 2  # the first one is only said
    assert sum("The screen shows nothing more" in each for each in voice.said) == 1
    assert screen.shown == 2  # and then it is left alone
    entries = list(read_entries(tmp_path / "run"))
    assert [each.value for each in entries if isinstance(each.value, ScreenLost)] == [
        ScreenLost("nobody reads what is shown")
    ]
    assert not [each for turn in replay(TASK, iter(entries)) for each in turn.differences]


def test_a_signal_waits_until_nothing_is_half_done() -> None:
    signals = StopSignals()
    with signals.installed():
        os.kill(os.getpid(), signal.SIGTERM)  # while the run decides and writes
        with pytest.raises(RunStopped, match="terminated by the system"), signals.may_stop():
            pass
    assert signal.getsignal(signal.SIGTERM) is signal.SIG_DFL


def test_a_signal_ends_what_listens_at_once() -> None:
    signals = StopSignals()
    went_on = False

    def listens() -> None:
        nonlocal went_on
        with signals.may_stop():
            os.kill(os.getpid(), signal.SIGHUP)
            went_on = True

    with signals.installed(), pytest.raises(RunStopped, match="the terminal has gone"):
        listens()
    assert not went_on


def begun(tmp_path: Path, stdout: int = subprocess.PIPE) -> "subprocess.Popen[str]":
    task = FOLDER / "accumulator-nitrogen.yaml"
    command = (sys.executable, "-m", "handsfree", "run", str(task), "--keyboard")
    files = ("--record", str(tmp_path / "run"), "--speech-file", str(tmp_path / "speech.wav"))
    (tmp_path / "temporary").mkdir()
    return subprocess.Popen(
        (*command, *files),
        cwd=ROOT,
        env={**os.environ, "TMPDIR": str(tmp_path / "temporary")},
        stdin=subprocess.PIPE,
        stdout=stdout,
        stderr=subprocess.PIPE,
        text=True,
    )


def kinds(folder: Path) -> list[str]:
    lines = (folder / "log.jsonl").read_text(encoding="utf-8").splitlines()
    return [json.loads(line)["kind"] for line in lines]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_the_command_ends_by_a_signal_as_by_control_c(
    tmp_path: Path, number: signal.Signals
) -> None:
    with begun(tmp_path) as process:
        assert process.stdout is not None
        assert process.stdin is not None
        assert any("Step one." in line for line in process.stdout)
        process.send_signal(number)
        shown, problems = process.communicate(timeout=60)
    assert process.returncode == 1
    assert "not finished: 0 of 8 steps are done; step 1 was waiting." in shown
    assert "Traceback" not in problems
    assert kinds(tmp_path / "run")[-1] == "stopped"
    assert list((tmp_path / "temporary").iterdir()) == []  # nothing of the voice stays behind


@pytest.mark.slow
def test_the_command_goes_on_when_nobody_reads_what_it_shows(tmp_path: Path) -> None:
    """As behind `| head -2`."""
    with begun(tmp_path) as process:
        assert process.stdout is not None
        assert process.stdin is not None
        process.stdout.readline()
        process.stdout.close()
        process.stdin.write("530604\naffirm\nhydraulic pressure released\n")
        process.stdin.close()
        assert process.stderr is not None
        problems = process.stderr.read()
        assert process.wait(timeout=60) == 1
    assert "Traceback" not in problems
    assert "BrokenPipe" not in problems
    found = kinds(tmp_path / "run")
    assert found.count("screen-lost") == 1
    assert found.count("step-confirmed") == 2


@pytest.mark.slow
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_the_command_goes_on_when_its_output_is_full(tmp_path: Path) -> None:
    with Path("/dev/full").open("w") as full, begun(tmp_path, full.fileno()) as process:
        _, problems = process.communicate("530604\naffirm\n", timeout=60)
    assert process.returncode == 1
    assert "Traceback" not in problems
    assert kinds(tmp_path / "run").count("screen-lost") == 1
    assert kinds(tmp_path / "run").count("step-confirmed") == 1


def command(folder: Path, monkeypatch: pytest.MonkeyPatch, *words: str) -> int:
    """The exit code of `run` in this process, with nothing typed."""
    task = str(FOLDER / "accumulator-nitrogen.yaml")
    named = (task, "--record", str(folder / "run")) if "--resume" not in words else ()
    if not (folder / "keys").exists():
        new_keys(folder / "keys", "Ines Varga")
    more = ("--keyboard", "--board", "--board-port", "0", "--keys", str(folder / "keys"))
    speech = ("--speech-file", str(folder / "speech.wav"))
    monkeypatch.setattr(sys, "argv", ["handsfree", "run", *named, *more, *speech, *words])
    monkeypatch.setattr(sys, "stdin", StringIO(""))
    with pytest.raises(SystemExit) as ended:
        main()
    return int(ended.value.code or 0)


def test_a_mistake_before_the_first_word_is_recorded_and_told_and_can_be_gone_on_from(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("one by none")

    voice = Voice()
    with monkeypatch.context() as patched:
        patched.setattr("handsfree.board.live.OpenBoard", broken)
        patched.setattr("handsfree.speaking.open_speaker", lambda *_, **__: voice)
        assert command(tmp_path, patched) == 1
    assert [each.split(".")[0] for each in voice.said] == ["This program has failed and stops now"]
    told = capsys.readouterr().err
    assert told.count("ZeroDivisionError: one by none") == 1
    assert "Traceback" not in told
    assert kinds(tmp_path / "run")[-1] == "stopped"
    assert verify(tmp_path / "run").problems == ()
    assert command(tmp_path, monkeypatch, "--resume", str(tmp_path / "run")) == 1
    assert "Step one." in capsys.readouterr().out


def test_a_signal_before_the_first_word_is_on_the_record(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def ended(*_: object) -> None:
        os.kill(os.getpid(), signal.SIGTERM)

    monkeypatch.setattr("handsfree.board.live.OpenBoard", ended)
    assert command(tmp_path, monkeypatch) == 1
    assert "Traceback" not in capsys.readouterr().err
    last = list(read_entries(tmp_path / "run"))[-1].value
    assert isinstance(last, Stopped)
    assert last.reason == "terminated by the system (SIGTERM)"
    assert signal.getsignal(signal.SIGTERM) is signal.SIG_DFL
