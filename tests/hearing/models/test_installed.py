"""What was added is as it was added, and one of it may listen."""

import logging
import subprocess
from pathlib import Path

import pytest

from handsfree.hearing.models.installed import (
    CHOICE,
    RECORD,
    ChoiceBroken,
    InstallationUnreadable,
    InstalledAltered,
    NotInstalled,
    choose,
    chosen,
    installed_models,
    verified_folder,
)
from handsfree.hearing.models.installing import add_model
from handsfree.hearing.vosk.one_more import with_installed
from tests.hearing.model_folder import model_folder
from tests.hearing.said import Said

ROOT = Path(__file__).parents[3]


@pytest.fixture
def models(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A models folder with one model, `small`, which listens."""
    folder = tmp_path / "models"
    folder.mkdir()
    monkeypatch.setenv("HANDSFREE_MODELS", str(folder))
    (folder / "catalogue.toml").write_text("model = []\n")
    add_model(str(model_folder(tmp_path / "small")), trial=lambda *_: ())
    return folder


def test_a_model_as_it_was_added_is_handed_out(models: Path) -> None:
    assert verified_folder("small") == models / "small"


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        (lambda folder: (folder / "am/final.mdl").write_bytes(b"x"), "am/final.mdl has SHA-256"),
        (lambda folder: (folder / "am/final.mdl").unlink(), "am/final.mdl cannot be read"),
        (lambda folder: (folder / "new").write_bytes(b"x"), "new was not added with it"),
        (lambda folder: (folder / "new").symlink_to("/"), "new was not added with it"),
    ],
    ids=["altered", "gone", "a file more", "a link more"],
)
def test_a_difference_is_named_and_the_model_is_not_used(
    models: Path, change: object, problem: str
) -> None:
    change(models / "small")  # type: ignore[operator]
    with pytest.raises(InstalledAltered, match=rf"model small: {problem}.* It is not used\."):
        verified_folder("small")


def test_a_model_that_is_not_there_is_answered_with_those_that_are(models: Path) -> None:
    with pytest.raises(NotInstalled, match=r"No speech model other .* There is: small\."):
        verified_folder("other")
    with pytest.raises(NotInstalled, match=r"`handsfree models add`"):
        choose("other")
    assert chosen() == "small"


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "it: Invalid JSON"),
        ("{}", "name: Field required"),
        ('{"name": "small", "colour": 1}', "engine: Field required"),
    ],
)
def test_a_broken_record_is_named(models: Path, text: str, problem: str) -> None:
    (models / "small" / RECORD).write_text(text)
    with pytest.raises(
        InstallationUnreadable, match=rf"installed\.json: {problem}.* add the model again"
    ):
        installed_models()


def test_a_record_in_another_folder_is_refused(models: Path) -> None:
    (models / "small").rename(models / "large")
    with pytest.raises(InstallationUnreadable, match="it is of small, and the folder is large"):
        installed_models()


def test_a_choice_is_kept_and_can_be_taken_back(models: Path) -> None:
    choose(None)
    assert chosen() is None
    choose("small")
    assert chosen() == "small"


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("also", "cannot be read"),
        ("also = 1", "is the name of a model, not 1"),
        ('only = "small"', "has only, and only `also` is known"),
    ],
)
def test_a_choice_that_makes_no_sense_is_named(models: Path, text: str, problem: str) -> None:
    (models / CHOICE).write_text(text)
    with pytest.raises(ChoiceBroken, match=rf"{CHOICE}: .*{problem}.*`handsfree models use`"):
        chosen()


def test_where_none_is_chosen_the_embedded_listeners_stay_as_they_are(models: Path) -> None:
    choose(None)
    first = Said("two", 1.0)
    assert with_installed(first) is first


def test_a_chosen_model_that_was_altered_does_not_listen_and_it_is_said(
    models: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (models / "small" / "am" / "final.mdl").write_bytes(b"x")
    first = Said("two", 1.0)
    with caplog.at_level(logging.WARNING):
        assert with_installed(first) is first
    [line] = caplog.messages
    assert line.startswith("Speech model small: am/final.mdl has SHA-256")
    assert line.endswith("Listening without it.")


def test_what_is_added_is_ignored_by_git() -> None:
    names = ["models/small/am/final.mdl", "models/small/installed.json", f"models/{CHOICE}"]
    command = ["git", "check-ignore", *names]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode > 1:
        pytest.skip(f"not in a checkout: {done.stderr.strip()}")
    assert done.stdout.split() == names
