"""What of the code counts as a change."""

from pathlib import Path

import pytest

from handsfree.fleet import code
from handsfree.fleet.code import code_of, content_of, deciding_files

MODULE = '''"""What it is."""

limit = 0.5  # a judgement


def f(x: int) -> int:
    return x + 1
'''


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A package with a module, data and a page."""
    for folder in ("hearing/live", "carried/models"):
        (tmp_path / folder).mkdir(parents=True)
    (tmp_path / "hearing/listen.py").write_text(MODULE)
    (tmp_path / "hearing/score.toml").write_text("at = 0.9\n")
    (tmp_path / "hearing/page.css").write_text("p { margin: 0 }\n")
    (tmp_path / "hearing/live/pace.py").write_text("pace = 1\n")
    (tmp_path / "carried/models/reader.onnx").write_bytes(b"model")
    monkeypatch.setattr(code, "PACKAGE", tmp_path)
    return tmp_path


def told(part: str = "hearing", without: tuple[str, ...] = ()) -> str:
    for each in (code_of, content_of):
        each.cache_clear()
    try:
        return code_of(part, without)
    finally:
        code_of.cache_clear()


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("# a judgement", "# measured"),
        ("What it is.", "What it does."),
        ("0.5", "0.50"),
        ("x + 1", "(x + 1)"),
    ],
)
def test_what_only_a_reader_sees_is_no_change(package: Path, old: str, new: str) -> None:
    before = told()
    (package / "hearing/listen.py").write_text(MODULE.replace(old, new))
    assert told() == before


@pytest.mark.parametrize(
    ("file", "content"),
    [
        ("hearing/listen.py", MODULE.replace("0.5", "0.6")),
        ("hearing/listen.py", MODULE.replace("x + 1", "x - 1")),
        ("hearing/score.toml", "at = 0.8\n"),
        ("hearing/new.json", "{}"),
        ("hearing/live/pace.py", "pace = 2\n"),
    ],
)
def test_what_decides_something_is_a_change(package: Path, file: str, content: str) -> None:
    before = told()
    (package / file).write_text(content)
    assert told() != before


def test_a_module_under_another_name_is_a_change(package: Path) -> None:
    before = told()
    (package / "hearing/listen.py").rename(package / "hearing/heard.py")
    assert told() != before


def test_what_shows_and_what_does_not_count_is_no_change(package: Path) -> None:
    before = told(without=("hearing/live",))
    (package / "hearing/page.css").write_text("p { margin: 1px }\n")
    (package / "hearing/live/pace.py").write_text("pace = 2\n")
    assert told(without=("hearing/live",)) == before


def test_models_inside_an_installed_package_are_counted_by_name_elsewhere(package: Path) -> None:
    names = [each.relative_to(package).as_posix() for each in deciding_files()]
    assert names == ["hearing/listen.py", "hearing/live/pace.py", "hearing/score.toml"]


def test_a_text_in_place_of_a_value_counts(tmp_path: Path) -> None:
    """Only what stands where a docstring stands is for readers."""
    one, other = tmp_path / "a.py", tmp_path / "b.py"
    one.write_text("def f():\n    x = 'a'\n    return x\n")
    other.write_text("def f():\n    x = 'b'\n    return x\n")
    assert content_of(one) != content_of(other)
