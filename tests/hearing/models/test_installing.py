"""A model is added whole, checked and tried, or not at all."""

import hashlib
import io
import json
import os
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import IO

import pytest

from handsfree.errors import HandsfreeError
from handsfree.hearing.models.installed import CHOICE, chosen, installed, installed_models
from handsfree.hearing.models.installing import (
    EVERYWHERE,
    Added,
    ArchiveAltered,
    BadName,
    NameTaken,
    NoSource,
    NotFetched,
    add_model,
)
from handsfree.hearing.models.unpacking import PackageBroken, PackageUnsafe
from handsfree.hearing.vosk.listener import OtherLanguage
from handsfree.hearing.vosk.model import (
    ModelNotRestrictable,
    NotAVoskModel,
    OtherSampleRate,
    VoskModelDamaged,
)
from tests.hearing.model_folder import FILES, model_folder, zip_of

ADDRESS = "https://models.invalid/small-1.zip"


@pytest.fixture
def models(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A models folder of its own, with nothing but a catalogue."""
    folder = tmp_path / "models"
    folder.mkdir()
    monkeypatch.setenv("HANDSFREE_MODELS", str(folder))
    return catalogued(folder, b"")


def catalogued(folder: Path, archive: bytes) -> Path:
    """Let the catalogue have `archive` under an address."""
    (folder / "catalogue.toml").write_text(
        f"""
[[model]]
name = "small-1"
engine = "Vosk"
source = "a test"
licence = "none"
size_bytes = {len(archive)}
[model.archive]
address = "{ADDRESS}"
sha256 = "{hashlib.sha256(archive).hexdigest()}"
size_bytes = {len(archive)}
"""
    )
    return folder


def knows_all(name: str, folder: Path, words: frozenset[str]) -> tuple[str, ...]:
    """A trial that every model passes."""
    return ()


def add(source: Path | str, name: str | None = None, trial: object = knows_all) -> Added:
    return add_model(str(source), name, trial=trial)  # type: ignore[arg-type]


def left(models: Path) -> list[str]:
    return sorted(each.name for each in models.iterdir())


def test_a_folder_is_copied_with_the_hash_of_each_file(models: Path, tmp_path: Path) -> None:
    added = add(model_folder(tmp_path / "small-1"))
    assert added.model.sha256 == {
        name: hashlib.sha256(content).hexdigest() for name, content in FILES.items()
    }
    for name, content in FILES.items():
        assert (models / "small-1" / name).read_bytes() == content
    assert installed("small-1") == added.model
    assert added.model.archive_sha256 is None
    assert added.model.size_bytes == sum(map(len, FILES.values()))
    assert added.model.differences() == ()


def test_a_zip_is_unpacked_under_the_name_of_its_folder(models: Path, tmp_path: Path) -> None:
    archive = zip_of(model_folder(tmp_path / "small-2"), tmp_path / "download.zip")
    added = add(archive)
    assert added.model.name == "small-2"
    assert added.model.archive_sha256 == hashlib.sha256(archive.read_bytes()).hexdigest()
    assert (models / "small-2" / "am" / "final.mdl").read_bytes() == b"network"


def test_the_first_model_listens_and_the_second_waits_to_be_chosen(
    models: Path, tmp_path: Path
) -> None:
    assert add(model_folder(tmp_path / "one")).listens
    assert chosen() == "one"
    assert not add(model_folder(tmp_path / "two")).listens
    assert chosen() == "one"
    assert [each.name for each in installed_models()] == ["one", "two"]


@pytest.mark.parametrize("source", ["small-1", ADDRESS])
def test_a_name_or_an_address_of_the_catalogue_is_fetched(
    models: Path, tmp_path: Path, source: str
) -> None:
    archive = zip_of(model_folder(tmp_path / "small-1"), tmp_path / "some.zip").read_bytes()
    catalogued(models, archive)
    asked = []

    def opened(address: str) -> IO[bytes]:
        asked.append(address)
        return io.BytesIO(archive)

    added = add_model(source, trial=knows_all, open_address=opened)
    assert asked == [ADDRESS]
    assert added.model.name == "small-1"
    assert left(models) == ["catalogue.toml", CHOICE, "small-1"]


@pytest.mark.parametrize(
    ("answer", "error", "problem"),
    [
        (b"abd", ArchiveAltered, "has SHA-256 a52d159f262b2c6ddb724a61840befc36eb30c88877a4030"),
        (b"abcd", NotFetched, "sends more than the catalogue says"),
        (b"", ArchiveAltered, "has SHA-256 e3b0c44298fc1c14"),
    ],
    ids=["another file", "more", "nothing"],
)
def test_what_an_address_sends_must_be_what_the_catalogue_says(
    models: Path, answer: bytes, error: type[HandsfreeError], problem: str
) -> None:
    """SHA-256 of "abd" and of nothing, from `printf abd | sha256sum`."""
    catalogued(models, b"abc")
    with pytest.raises(error, match=problem):
        add_model("small-1", trial=knows_all, open_address=lambda _: io.BytesIO(answer))
    assert left(models) == ["catalogue.toml"]


def test_without_a_network_it_is_said_what_else_can_be_done(models: Path) -> None:
    def refused(address: str) -> IO[bytes]:
        raise OSError("Network is unreachable")

    with pytest.raises(NotFetched, match=r"Network is unreachable.*bring the zip file"):
        add_model("small-1", trial=knows_all, open_address=refused)
    assert left(models) == ["catalogue.toml"]


def test_a_zip_called_as_one_of_the_catalogue_must_be_that_one(
    models: Path, tmp_path: Path
) -> None:
    archive = zip_of(model_folder(tmp_path / "small-1"), tmp_path / "small-1.zip")
    with pytest.raises(ArchiveAltered, match=r"small-1\.zip: has SHA-256 .* the catalogue says"):
        add(archive)
    assert left(models) == ["catalogue.toml"]
    catalogued(models, archive.read_bytes())
    assert add(archive).model.name == "small-1"


@pytest.mark.parametrize("source", ["none", "https://models.invalid/other.zip"])
def test_what_is_nowhere_is_misuse_and_any_other_address_is_not_fetched(
    models: Path, source: str
) -> None:
    with pytest.raises(NoSource, match=r"The catalogue can fetch: small-1\. .*yourself") as caught:
        add(source)
    assert caught.value.exit_code == 2


def refuses(name: str, folder: Path, words: frozenset[str]) -> tuple[str, ...]:
    raise VoskModelDamaged(name, "it crashed, signal 11")


def knows_no_english(name: str, folder: Path, words: frozenset[str]) -> tuple[str, ...]:
    return tuple(sorted(words))


def stopped(name: str, folder: Path, words: frozenset[str]) -> tuple[str, ...]:
    raise KeyboardInterrupt


@pytest.mark.parametrize(
    ("changed", "trial", "error", "problem"),
    [
        ({"final": None}, knows_all, NotAVoskModel, r"am/final\.mdl missing"),
        ({"Gr": None}, knows_all, NotAVoskModel, r"graph/Gr\.fst missing"),
        (
            {"mfcc": b"--sample-frequency=8000\n"},
            knows_all,
            OtherSampleRate,
            "for sound at 8000 Hz .* listens at 16000 Hz",
        ),
        ({}, refuses, VoskModelDamaged, "cannot listen with it .it crashed, signal 11"),
        ({}, knows_no_english, OtherLanguage, "does not know the words zero, one, two, three"),
        ({}, stopped, KeyboardInterrupt, "^$"),
    ],
    ids=["no network", "no graph", "8 kHz", "damaged", "another language", "interrupted"],
)
def test_a_failed_add_leaves_nothing(
    models: Path,
    tmp_path: Path,
    changed: dict[str, bytes | None],
    trial: Callable[[str, Path, frozenset[str]], tuple[str, ...]],
    error: type[BaseException],
    problem: str,
) -> None:
    source = model_folder(tmp_path / "small-1", **changed)
    with pytest.raises(error, match=problem) as caught:
        add(source, trial=trial)
    assert left(models) == ["catalogue.toml"]
    # The folder that it was put together in is gone, and nothing to a person.
    assert ".adding-" not in str(caught.value)


def test_a_model_with_a_ready_made_graph_cannot_be_held(models: Path, tmp_path: Path) -> None:
    source = model_folder(tmp_path / "large", HCLr=None, Gr=None)
    (source / "graph" / "HCLG.fst").write_bytes(b"graph")
    with pytest.raises(ModelNotRestrictable, match=r"ready-made graph .*cannot be held to phrases"):
        add(source)
    assert left(models) == ["catalogue.toml"]


def test_a_rate_of_16000_may_be_written_out(models: Path, tmp_path: Path) -> None:
    """Kaldi's default is 16000, `FrameExtractionOptions` in its `feature-window.h`."""
    add(model_folder(tmp_path / "a", mfcc=b"--sample-frequency=16000\n"))
    add(model_folder(tmp_path / "b", mfcc=b"--sample-frequency=16000.0 # Hz\n"))


def test_a_zip_that_leads_out_leaves_nothing_anywhere(models: Path, tmp_path: Path) -> None:
    archive = tmp_path / "bad.zip"
    with zipfile.ZipFile(archive, "w") as packed:
        packed.writestr("model/am/final.mdl", b"network")
        packed.writestr("model/../../../evil", b"evil")
    with pytest.raises(PackageUnsafe, match="leads out of its folder"):
        add(archive)
    assert left(models) == ["catalogue.toml"]
    assert not list(tmp_path.rglob("evil"))


@pytest.mark.parametrize("content", [b"", b"not a zip", b"PK\x03\x04"])
def test_a_file_that_is_no_zip_is_named(models: Path, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "model.zip").write_bytes(content)
    with pytest.raises(PackageBroken, match=r"model\.zip: cannot be unpacked"):
        add(tmp_path / "model.zip")
    assert left(models) == ["catalogue.toml"]


def test_a_truncated_zip_is_named(models: Path, tmp_path: Path) -> None:
    archive = zip_of(model_folder(tmp_path / "small-2"), tmp_path / "some.zip")
    archive.write_bytes(archive.read_bytes()[:-40])
    with pytest.raises(PackageBroken, match="cannot be unpacked"):
        add(archive)


def deep_folder(tmp_path: Path) -> Path:
    source = model_folder(tmp_path / "deep")
    # Not 2,000 as in the zip: pytest could not remove it.
    folder = source.joinpath(*["d"] * 300)
    folder.mkdir(parents=True)
    (folder / "file").write_bytes(b"abc")
    return source


def deep_zip(tmp_path: Path) -> Path:
    archive = tmp_path / "deep.zip"
    with zipfile.ZipFile(archive, "w") as packed:
        packed.writestr("model/" + "d/" * 2000 + "file", b"abc")
    return archive


def long_name(tmp_path: Path) -> Path:
    archive = tmp_path / "long.zip"
    with zipfile.ZipFile(archive, "w") as packed:
        packed.writestr("model/" + "n" * 300, b"abc")
    return archive


def of_version(at: bytes, offset: int) -> Callable[[Path], Path]:
    """A zip that states that version 9.9 is needed to read it, in one of its two headers."""

    def made(tmp_path: Path) -> Path:
        archive = zip_of(model_folder(tmp_path / "small-2"), tmp_path / "new.zip")
        data = bytearray(archive.read_bytes())
        data[data.index(at) + offset] = 99
        archive.write_bytes(data)
        return archive

    return made


def pipe(tmp_path: Path) -> Path:
    os.mkfifo(tmp_path / "pipe.zip")
    return tmp_path / "pipe.zip"


@pytest.mark.parametrize(
    ("made", "error", "problem"),
    [
        (deep_folder, PackageUnsafe, "more than 16 folders in one another"),
        (deep_zip, PackageUnsafe, "more than 16 folders in one another"),
        (long_name, PackageUnsafe, "is longer than any name of a model"),
        # "Version needed to extract", APPNOTE.TXT 4.3.12 and 4.3.7.
        (of_version(b"PK\x01\x02", 6), PackageBroken, "zip file version 9.9"),
        (lambda _: Path("/dev/zero"), PackageBroken, "is no plain file"),
        (lambda _: Path("/dev/null"), PackageBroken, "is no plain file"),
        (pipe, PackageBroken, "is no plain file"),
    ],
    ids=["deep folder", "deep zip", "long name", "version", "zero", "null", "pipe"],
)
def test_what_means_harm_or_never_ends_is_refused_and_leaves_nothing(
    models: Path,
    tmp_path: Path,
    made: Callable[[Path], Path],
    error: type[HandsfreeError],
    problem: str,
) -> None:
    with pytest.raises(error, match=rf"{problem}.*Nothing was added\."):
        add(made(tmp_path))
    assert left(models) == ["catalogue.toml"]


def test_a_pipe_in_the_place_of_an_archive_in_a_folder_is_not_waited_for(
    models: Path, tmp_path: Path
) -> None:
    source = model_folder(tmp_path / "small-1")
    (source / "am" / "final.mdl").unlink()
    os.mkfifo(source / "am" / "final.mdl")
    with pytest.raises(PackageUnsafe, match="is a link or a device"):
        add(source)
    assert left(models) == ["catalogue.toml"]


@pytest.mark.parametrize("source", ["d/" * 5000, "x" * 300, "~nobody-of-that-name/model", "a\0b"])
def test_a_path_that_no_system_takes_is_nowhere(models: Path, source: str) -> None:
    with pytest.raises(NoSource, match=r"is no folder, no file"):
        add(source)
    assert left(models) == ["catalogue.toml"]


def test_a_name_that_is_there_is_not_written_over(models: Path, tmp_path: Path) -> None:
    source = model_folder(tmp_path / "small-1")
    add(source)
    with pytest.raises(NameTaken, match=r"is there already\. Remove it first, or .* --name"):
        add(source)
    assert add(source, name="another").model.name == "another"


@pytest.mark.parametrize("name", ["..", "a/b", "-x", ".hidden", "x" * 65])
def test_a_name_that_is_no_folder_of_its_own_is_misuse(
    models: Path, tmp_path: Path, name: str
) -> None:
    source = model_folder(tmp_path / "small-1")
    with pytest.raises(BadName, match="cannot be called") as caught:
        add(source, name=name)
    assert caught.value.exit_code == 2
    assert left(models) == ["catalogue.toml"]


def test_an_added_model_can_be_added_again_from_where_it_is(models: Path, tmp_path: Path) -> None:
    add(model_folder(tmp_path / "small-1"))
    again = add(models / "small-1", name="small-2").model
    assert again.differences() == ()
    assert set(again.sha256) == set(FILES)


def test_a_name_that_is_taken_is_known_before_anything_is_fetched(models: Path) -> None:
    def opened(address: str) -> IO[bytes]:
        raise AssertionError("fetched")

    (models / "small-1").mkdir()
    with pytest.raises(NameTaken):
        add_model("small-1", trial=knows_all, open_address=opened)


def test_the_model_is_tried_on_every_word_that_any_task_can_have(
    models: Path, tmp_path: Path
) -> None:
    asked: list[frozenset[str]] = []

    def lacks_niner(name: str, folder: Path, words: frozenset[str]) -> tuple[str, ...]:
        asked.append(words)
        return ("niner",)

    assert add(model_folder(tmp_path / "small-1"), trial=lacks_niner).missing == ("niner",)
    assert asked == [EVERYWHERE.vocabulary]
    assert {"niner", "kilo", "affirm", "newton", "hundred"} <= EVERYWHERE.vocabulary


def test_the_record_can_be_read_by_a_person(models: Path, tmp_path: Path) -> None:
    source = model_folder(tmp_path / "small-1")
    add(source)
    record = json.loads((models / "small-1" / "installed.json").read_text())
    assert record["source"] == str(source)
    assert record["engine"] == "Vosk"
    assert os.access(models / "small-1", os.X_OK)
