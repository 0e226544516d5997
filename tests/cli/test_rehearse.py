"""`handsfree rehearse` and `check --rehearsed`, as a person meets them."""

import json
import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from typer.testing import CliRunner

from handsfree.cli.app import app
from handsfree.errors import HandsfreeError
from handsfree.rehearse import bias
from handsfree.rehearse.bias import AtRatio, Bias, Heard
from handsfree.rehearse.listening import ToHear
from handsfree.words import heard as words_heard
from tests.rehearse.stages import SHORT

Run = Callable[..., str]


@pytest.fixture
def task(tmp_path: Path) -> Path:
    return Path(shutil.copy(SHORT, tmp_path / "nitrogen.yaml"))


@pytest.fixture
def heard(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every saying is heard as it is said; all that is heard is listed."""
    said: list[str] = []

    def hear(asked: tuple[ToHear, ...]) -> tuple[words_heard.Heard, ...]:
        said.extend(each.scene.words for each in asked)
        return tuple(
            words_heard.Heard(
                tuple(each.scene.words.split()), 1.0, (), (), timedelta(0), timedelta(seconds=1)
            )
            for each in asked
        )

    monkeypatch.setattr("handsfree.rehearse.hearings.hear", hear)
    return said


@pytest.fixture
def known(monkeypatch: pytest.MonkeyPatch) -> None:
    """People are heard as voices are, as far as a hundred thousand sayings tell."""
    many = Heard(of=100_000, asked=1_000, wrong=0)
    row = AtRatio(snr_db=10, people=many, voices=many)
    made = Bias(made_with="-", made_on="2026-11-29", speech="people", at=(row,))  # type: ignore[arg-type]
    monkeypatch.setattr(bias, "measured_bias", lambda: made)


def run(*words: str | Path) -> str:
    """What is printed; raises what the command raises."""
    done = CliRunner().invoke(app, [*map(str, words)], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    return done.output


def rehearse(task: Path, *words: str | Path) -> str:
    cache = task.parent / "cache"
    return run("rehearse", task, "--voices", "2", "--snr", "10", "--cache", cache, *words)


def test_it_tells_the_counts_and_the_verdict_and_keeps_them_beside_the_task(
    task: Path, heard: list[str]
) -> None:
    told = rehearse(task)
    assert "66 sayings" in told
    assert "By synthetic voices: not enough runs to say: 0 of 66 accepted wrong" in told
    kept = task.with_name("nitrogen.rehearsal.json")
    assert json.loads(kept.read_text())["settings"]["snrs_db"] == [10.0]
    assert f"kept: {kept}. Heard now: {len(heard)}." in told


def test_few_sayings_are_heard_side_by_side_here_and_the_result_is_the_same(
    task: Path, heard: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("handsfree.fleet.runner.find_spec", lambda _name: "there")
    alone, together = tmp_path / "alone.json", tmp_path / "together.json"
    rehearse(task, "--no-conversations", "--json", alone)
    heard.clear()
    rehearse(
        task, "--no-conversations", "--json", together, "--workers", "2", "--cache", tmp_path / "b"
    )
    assert len(heard) > 60
    assert together.read_bytes() == alone.read_bytes()


def test_a_second_time_nothing_is_heard(task: Path, heard: list[str]) -> None:
    rehearse(task)
    heard.clear()
    assert "Heard now: 0." in rehearse(task)
    assert not heard


def test_the_ratio_of_the_bound_is_rehearsed_too(task: Path, heard: list[str]) -> None:
    cache = task.parent / "cache"
    told = run("rehearse", task, "--voices", "1", "--snr", "20", "--cache", cache, "--changes", "0")
    assert "66 sayings" in told
    assert "0 of 33 accepted wrong" in told


def test_the_page_is_written_where_it_is_wanted(task: Path, heard: list[str]) -> None:
    page = task.parent / "page.html"
    assert f"page: {page}" in rehearse(task, "--to", page)
    assert page.read_text().startswith("<!DOCTYPE html>")


def test_ctrl_c_tells_where_to_go_on(
    task: Path, heard: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(asked: tuple[ToHear, ...]) -> tuple[words_heard.Heard, ...]:
        raise KeyboardInterrupt

    monkeypatch.setattr("handsfree.rehearse.hearings.hear", stop)
    with pytest.raises(HandsfreeError, match="the same command goes on from there") as error:
        rehearse(task)
    assert error.value.exit_code == 130
    assert not task.with_name("nitrogen.rehearsal.json").exists()


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (("--to", "page.txt"), "page.txt: the page needs a name that ends in .html"),
        (("--json", "task.yaml"), "task.yaml: the rehearsal needs a name that ends in .json"),
        (("--try", "close-valve"), "write step and phrase, such as close-valve='valve shut'"),
        (("--try", "shut=valve shut"), "the task has no step 'shut'"),
        (("--voices", "99"), "voices are installed. Ask for so many at most"),
        (("--noise", "thunder"), "There is no noise 'thunder'"),
        (("--recordings", "nowhere"), "nowhere: is no folder"),
        (("--workers", "0"), "--workers is at least 1, not 0"),
        (("--workers", "2", "--scheduler", "tcp://a:1"), "Name either --workers or --scheduler"),
    ],
)
def test_what_cannot_be_is_told_before_any_work(
    task: Path, heard: list[str], words: tuple[str, ...], what: str
) -> None:
    with pytest.raises(HandsfreeError) as error:
        rehearse(task, *words)
    assert what in str(error.value)
    assert error.value.exit_code == 2
    assert not heard


@pytest.mark.parametrize("option", ["--cache", "--json", "--to"])
@pytest.mark.parametrize("inside", [True, False])
def test_nothing_is_written_into_a_record(
    task: Path, heard: list[str], option: str, inside: bool
) -> None:
    name = {"--cache": "kept", "--json": "a.json", "--to": "a.html"}[option]
    record = task.parent / "run" if inside else task.parent / name
    record.mkdir()
    (record / "log.jsonl").write_text("")
    place = record / name if inside else record
    what = "folder" if option == "--cache" else "file"
    with pytest.raises(HandsfreeError) as error:
        run("rehearse", task, "--voices", "2", option, place)
    where = f"lies in the record {record}" if inside else "is a record"
    assert str(error.value) == (
        f"{place}: {where}, and nothing is put into a record. Name another {what} with {option}."
    )
    assert [each.name for each in record.iterdir()] == ["log.jsonl"]
    assert not heard


def test_the_task_of_a_record_is_not_rehearsed_into_it(task: Path, heard: list[str]) -> None:
    (task.parent / "log.jsonl").write_text("")
    with pytest.raises(HandsfreeError, match="lies in the record"):
        rehearse(task, "--cache", task.parent.parent / "elsewhere")
    assert not task.with_name("nitrogen.rehearsal.json").exists()


def test_a_task_that_does_not_pass_check_is_refused(task: Path, heard: list[str]) -> None:
    task.write_text(task.read_text().replace("end: removed\n", "end: fitted\n", 1))
    with pytest.raises(HandsfreeError, match="charging hose") as error:
        rehearse(task)
    assert error.value.exit_code == 1
    assert not heard


def test_check_refuses_a_task_that_was_not_rehearsed(task: Path) -> None:
    with pytest.raises(HandsfreeError, match="was not rehearsed") as error:
        run("check", "--rehearsed", task)
    assert f"Run: handsfree rehearse {task}" in str(error.value)
    run("check", task)


def test_check_refuses_a_rehearsal_that_does_not_show_the_bound(
    task: Path, heard: list[str], known: None
) -> None:
    rehearse(task)
    with pytest.raises(HandsfreeError, match="not enough runs to say"):
        run("check", "--rehearsed", task)


def test_check_passes_one_that_does_and_refuses_it_once_a_phrase_has_changed(
    task: Path, heard: list[str], known: None
) -> None:
    rehearse(task, "--runs", "3")
    assert "By synthetic voices: holds: 0 of 198" in run("check", "--rehearsed", task)
    task.write_text(task.read_text().replace("charging valve closed", "nitrogen shut off"))
    with pytest.raises(HandsfreeError, match="what is said at the steps changed"):
        run("check", "--rehearsed", task)


def test_check_refuses_what_is_no_rehearsal(task: Path) -> None:
    task.with_name("nitrogen.rehearsal.json").write_text("{}")
    with pytest.raises(HandsfreeError, match="is no rehearsal that can be read"):
        run("check", "--rehearsed", task)
