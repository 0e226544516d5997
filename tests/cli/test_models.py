"""`handsfree models` as a person meets it."""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import pytest

from handsfree.cli.app import main
from handsfree.hearing.models.installing import add_model
from tests.hearing.model_folder import model_folder

ROOT = Path(__file__).parents[2]
EMBEDDED = ("broken-off", "one-voice", "reader", "short-window", "voice-activity", "voices")


@pytest.fixture
def models(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A models folder with what comes with this checkout, and one model added."""
    folder = tmp_path / "models"
    for embedded in EMBEDDED:
        shutil.copytree(ROOT / "models" / embedded, folder / embedded)
    shutil.copy(ROOT / "models" / "catalogue.toml", folder)
    monkeypatch.setenv("HANDSFREE_MODELS", str(folder))
    add_model(str(model_folder(tmp_path / "small")), trial=lambda *_: ())
    return folder


@dataclass(frozen=True)
class Done:
    returncode: int
    stdout: str
    stderr: str


@pytest.fixture
def handsfree(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., Done]:
    """`handsfree models WORDS...`, in this process: one of its own takes half a second."""

    def call(*words: str | Path) -> Done:
        monkeypatch.setattr(sys, "argv", ["handsfree", "models", *map(str, words)])
        with pytest.raises(SystemExit) as ended:
            main()
        printed = capsys.readouterr()
        return Done(int(ended.value.code or 0), printed.out, printed.err)

    return call


Handsfree = Callable[..., Done]


@pytest.mark.usefixtures("models")
def test_list_says_which_are_there_and_which_listens(handsfree: Handsfree) -> None:
    done = handsfree("list")
    assert done.returncode == 0
    lines = {line.split()[0]: line for line in done.stdout.splitlines()}
    assert " embedded " in lines["reader"]
    assert " embedded " in lines["whisper-tiny.en-int8"]
    assert " can be added " in lines["vosk-model-small-en-us-0.15"]
    assert " listens too " in lines["small"]


def test_verify_is_0_where_all_is_right_and_1_where_it_is_not(
    handsfree: Handsfree, models: Path
) -> None:
    done = handsfree("verify")
    assert done.returncode == 0
    assert "reader: 2 files, all as they should be." in done.stdout
    assert "small: 6 files, all as they should be." in done.stdout
    (models / "small" / "am" / "final.mdl").write_bytes(b"x")
    done = handsfree("verify")
    assert done.returncode == 1
    assert "Speech model small: am/final.mdl has SHA-256" in done.stderr
    assert "reader: 2 files" in done.stdout


def test_verify_finds_an_altered_embedded_model(handsfree: Handsfree, models: Path) -> None:
    (models / "reader" / "characters.json").write_bytes(b"[]")
    done = handsfree("verify")
    assert done.returncode == 1
    assert "characters.json has SHA-256" in done.stderr


def test_verify_finds_that_the_chosen_model_is_gone(handsfree: Handsfree, models: Path) -> None:
    shutil.rmtree(models / "small")
    done = handsfree("verify")
    assert done.returncode == 1
    assert "No speech model small is installed. None is." in done.stderr
    assert "small was chosen to listen, and is not there." in handsfree("list").stdout


@pytest.mark.usefixtures("models")
def test_without_a_name_only_the_embedded_models_listen(handsfree: Handsfree) -> None:
    done = handsfree("use")
    assert done.returncode == 0
    assert done.stdout == "Only the embedded models listen.\n"
    assert "small                        added" in handsfree("list").stdout


@pytest.mark.usefixtures("models")
def test_a_model_that_is_not_there_cannot_be_chosen(handsfree: Handsfree) -> None:
    done = handsfree("use", "other")
    assert done.returncode == 1
    assert "No speech model other is installed. There is: small." in done.stderr


def test_add_says_what_was_added_and_which_words_it_lacks(
    handsfree: Handsfree, models: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "handsfree.hearing.models.installing.add_model",
        partial(add_model, trial=lambda *_: ("fife", "niner")),
    )
    source = model_folder(tmp_path / "other")
    done = handsfree("add", source)
    assert done.returncode == 0
    assert "added other: 6 files, 0.0 MB.\n" in done.stdout
    assert "Let it listen with `handsfree models use other`." in done.stdout
    assert "It does not know the words fife, niner: it has no say" in done.stderr
    assert (models / "other" / "am" / "final.mdl").exists()


@pytest.mark.usefixtures("models")
def test_a_source_that_is_nowhere_is_misuse(handsfree: Handsfree) -> None:
    done = handsfree("add", "nowhere")
    assert done.returncode == 2
    assert "nowhere: is no folder, no file, and no model or address in the catalogue" in done.stderr


def test_a_folder_that_is_no_model_is_refused(
    handsfree: Handsfree, models: Path, tmp_path: Path
) -> None:
    (tmp_path / "notes").mkdir()
    (tmp_path / "notes" / "a.txt").write_text("a")
    done = handsfree("add", tmp_path / "notes")
    assert done.returncode == 1
    assert "notes: is not a model for Vosk: am/final.mdl, conf/mfcc.conf" in done.stderr
    assert not (models / "notes").exists()


def test_what_looks_like_a_model_and_is_none_is_refused(
    handsfree: Handsfree, models: Path, tmp_path: Path
) -> None:
    pytest.importorskip("vosk", reason="vosk is not installed; it is in the extra vosk-test")
    done = handsfree("add", model_folder(tmp_path / "fake"))
    assert done.returncode == 1
    assert "Speech model fake: Vosk cannot listen with it" in done.stderr
    there = {each.name for each in models.iterdir()}
    assert there == {*EMBEDDED, "catalogue.toml", "listening.toml", "small"}


def test_without_the_library_it_is_said_how_to_install_it(tmp_path: Path) -> None:
    """A module of that name that cannot be imported stands for a library that is not there."""
    (tmp_path / "hidden").mkdir()
    (tmp_path / "hidden" / "vosk.py").write_text("raise ImportError('no vosk here')\n")
    code = (
        "from pathlib import Path\n"
        "from handsfree.hearing.vosk.trial import words_missing\n"
        "from handsfree.hearing.vosk.model import VoskModel, VoskNotInstalled\n"
        f"folder = Path({str(model_folder(tmp_path / 'fake'))!r})\n"
        "for call in (lambda: VoskModel('fake', folder),\n"
        "             lambda: words_missing('fake', folder, frozenset())):\n"
        "    try:\n"
        "        call()\n"
        "    except VoskNotInstalled as error:\n"
        "        print(error)\n"
    )
    path = os.pathsep.join([str(tmp_path / "hidden"), str(ROOT)])
    printed = subprocess.check_output(
        [sys.executable, "-c", code], text=True, env={**os.environ, "PYTHONPATH": path}
    )
    line = (
        "The vosk library cannot be used (no vosk here). Install it with "
        "`python -m pip install 'vosk>=0.3.45'`.\n"
    )
    assert printed == 2 * line


def test_listening_without_an_added_model_loads_no_vosk() -> None:
    code = "import sys, handsfree.hearing.vosk.one_more; print('vosk' in sys.modules)"
    printed = subprocess.check_output([sys.executable, "-c", code], text=True, cwd=ROOT)
    assert printed == "False\n"


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_a_signal_while_a_model_is_added_leaves_nothing_behind(
    models: Path,
    handsfree: Handsfree,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    number: signal.Signals,
) -> None:
    """128 and the number of SIGINT, as shells give it."""

    def ended(*_: object) -> None:
        os.kill(os.getpid(), number)

    before = sorted(models.iterdir())
    monkeypatch.setattr("handsfree.hearing.models.installing.check_layout", ended)
    assert handsfree("add", model_folder(tmp_path / "another")).returncode == 130
    assert sorted(models.iterdir()) == before
