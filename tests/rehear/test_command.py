"""`handsfree rehear`: what a person and a program are told, and the exit codes."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from handsfree.cli.app import app
from handsfree.fleet.build import build_here
from handsfree.rehear import rehearing
from handsfree.rehear.differences import compare
from tests.rehear.records import RIGHT, ReadsClips, Said, hold

pytestmark = pytest.mark.usefixtures("ears")

MISHEARD: list[Said] = [RIGHT[0], ("five five", "six five"), *RIGHT[2:]]


def rehear(*words: str | Path) -> tuple[int, str]:
    done = CliRunner().invoke(app, ["rehear", *map(str, words)], catch_exceptions=False)
    return done.exit_code, done.stdout


def test_a_person_is_told_what_to_listen_to(tmp_path: Path) -> None:
    record = hold(tmp_path / "run", MISHEARD)
    code, told = rehear(record)
    assert code == 1
    first, acted_on, heard_now, listen_to, summed_up, last = told.splitlines()
    assert first.startswith(f"{record}, entry ")
    assert first.endswith("step pressure: A LIMIT LIES BETWEEN THE TWO; what was acted on stands")
    assert acted_on == '  acted on   "six five", 65 bar, inside limits'
    assert heard_now == '  heard now  "five five", 55 bar, below minimum, P 0.98'
    clip = Path(listen_to.removeprefix("  listen to  "))
    assert clip.parent == record / "clips"
    assert clip.exists()
    assert summed_up == (
        "1 record, 6 clips heard anew: 5 as acted on, 0 that fit nothing now, 1 otherwise."
    )
    assert last == "Listen to 1 clip: what was acted on still stands."


def test_a_program_is_told_the_same(tmp_path: Path) -> None:
    record = hold(tmp_path / "run", MISHEARD)
    code, told = rehear("--json", record, tmp_path / "none")
    found = json.loads(told)
    assert code == 1
    assert (found["complete"], found["records"], found["clips"], found["same"]) == (True, 1, 6, 5)
    (problem,) = found["problems"]
    assert problem.startswith(f"{tmp_path / 'none'}: no record there")
    (only,) = found["differences"]
    assert (only["step"], only["weight"], only["matters"], only["fate"]) == (
        *("pressure", "limit crossed", True, "stands"),
    )
    assert only["acted_on"] == {
        **{"words": "six five", "value": "65 bar", "verdict": "inside limits"}
    }
    assert only["heard_now"] == {
        **{"words": "five five", "value": "55 bar", "verdict": "below minimum"},
        **{"score": 0.98, "believed": True},
    }


def test_nothing_different_is_0_and_no_record_is_2(tmp_path: Path) -> None:
    record = hold(tmp_path / "run")
    assert rehear(record)[0] == 0
    assert rehear(record, tmp_path / "none")[0] == 2
    assert rehear(tmp_path / "none")[0] == 2


def test_an_escape_sequence_in_a_name_does_not_act_on_the_terminal(tmp_path: Path) -> None:
    record = hold(tmp_path / "a\x1b[2Jb", MISHEARD)
    told = rehear(record)[1]
    assert "\x1b" not in told
    assert r"a\x1b[2Jb" in told


def test_an_unknown_model_is_told_with_those_that_there_are(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["rehear", str(tmp_path), "--model", "bat"])
    assert "No model bat can listen by itself. Name one of whisper-tiny.en-int8" in str(
        done.exception
    )


def test_what_is_kept_is_not_heard_again(tmp_path: Path, ears: ReadsClips) -> None:
    record, keep = hold(tmp_path / "run", MISHEARD), tmp_path / "keep"
    first = rehear(record, "--keep", keep)
    assert len(ears.sets) == 6
    assert rehear(record, "--keep", keep) == first
    assert len(ears.sets) == 6


def test_another_build_hears_what_is_kept_again(
    tmp_path: Path, ears: ReadsClips, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What yesterday's code, or another library, has heard is not what this one hears."""
    record, keep = hold(tmp_path / "run", MISHEARD), tmp_path / "keep"
    rehear(record, "--keep", keep)
    other = replace(build_here(), libraries=(("onnxruntime", "1.0"),))
    monkeypatch.setattr(rehearing, "build_here", lambda: other)
    rehear(record, "--keep", keep)
    assert len(ears.sets) == 12


@pytest.mark.parametrize("place", ["run", "run/keep", "run/clips"])
def test_nothing_is_kept_in_a_record(tmp_path: Path, ears: ReadsClips, place: str) -> None:
    record = hold(tmp_path / "run", MISHEARD)
    before = sorted(record.rglob("*"))
    done = CliRunner().invoke(app, ["rehear", str(record), "--keep", str(tmp_path / place)])
    assert "and nothing is put into a record. Name another folder with --keep." in str(
        done.exception
    )
    assert sorted(record.rglob("*")) == before
    assert not ears.sets


def test_a_file_in_place_of_the_folder_to_keep_in_is_told(tmp_path: Path) -> None:
    (tmp_path / "keep").touch()
    done = CliRunner().invoke(app, ["rehear", str(tmp_path), "--keep", str(tmp_path / "keep")])
    assert "keep: is no folder. Name one for --keep" in str(done.exception)


def test_who_interrupts_it_is_told_what_was_found_by_then(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = hold(tmp_path / "run", MISHEARD)
    heard = 0

    def interrupting(*moment: object) -> object:
        nonlocal heard
        heard += 1
        if heard == 4:
            raise KeyboardInterrupt
        return compare(*moment)  # type: ignore[arg-type]

    monkeypatch.setattr(rehearing, "compare", interrupting)
    code, told = rehear(record)
    assert code == 1
    assert "Interrupted: this is what was found by then." in told
    assert "A LIMIT LIES BETWEEN THE TWO" in told
