"""What verify says of a record that was changed, word for word: `what_is_wrong.txt`.

To make the file anew after a change on purpose, run this file as a module; read the difference
before you keep it.
"""

import json
import re
import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from handsfree.record.time_stamp import TIME_STAMP
from handsfree.record.verify import verify
from tests.record.runs import Clock, go_on, hold, lines_of

TOLD = Path(__file__).parent / "what_is_wrong.txt"


def _write(folder: Path, lines: list[bytes]) -> None:
    (folder / "log.jsonl").write_bytes(b"".join(lines))


def _changed(folder: Path, at: int, old: bytes, new: bytes) -> None:
    lines = lines_of(folder)
    assert old in lines[at]
    lines[at] = lines[at].replace(old, new)
    _write(folder, lines)


def an_entry_is_taken_out(folder: Path) -> None:
    lines = lines_of(folder)
    _write(folder, [*lines[:4], *lines[5:]])


def an_entry_is_changed(folder: Path) -> None:
    _changed(folder, 4, b'"utc":"2031', b'"utc":"2030')


def the_last_entry_is_changed(folder: Path) -> None:
    _changed(folder, -1, b'"utc":"2031', b'"utc":"2030')


def the_running_time_goes_back(folder: Path) -> None:
    lines = lines_of(folder)
    lines[4] = re.sub(rb'"offset_ms":[0-9.]+', b'"offset_ms":0', lines[4])
    _write(folder, lines)


def a_line_is_no_entry(folder: Path) -> None:
    lines = lines_of(folder)
    _write(folder, [*lines[:4], b"what?\n", *lines[5:]])


def the_log_is_empty(folder: Path) -> None:
    _write(folder, [])


def the_last_line_is_half(folder: Path) -> None:
    with (folder / "log.jsonl").open("ab") as log:
        log.write(b'{"kind":')


def the_end_is_cut_off(folder: Path) -> None:
    _write(folder, lines_of(folder)[:-2])


def the_seal_is_gone(folder: Path) -> None:
    (folder / "seal.json").unlink()


def _seal_with(folder: Path, old: str, new: str) -> None:
    seal = folder / "seal.json"
    text = seal.read_text(encoding="utf-8")
    assert old in text
    seal.write_text(text.replace(old, new), encoding="utf-8")


def the_name_in_the_seal_is_changed(folder: Path) -> None:
    _seal_with(folder, "T. Person", "A. Nother")


def the_seal_is_written_with_other_spaces(folder: Path) -> None:
    seal = folder / "seal.json"
    seal.write_text(json.dumps(json.loads(seal.read_bytes()), indent=1), encoding="utf-8")


def the_task_is_changed(folder: Path) -> None:
    (folder / "task.yaml").write_text("task: other\n", encoding="utf-8")


def the_task_is_gone(folder: Path) -> None:
    (folder / "task.yaml").unlink()


def _clip(folder: Path) -> Path:
    return sorted((folder / "clips").iterdir())[0]


def a_clip_is_changed(folder: Path) -> None:
    _clip(folder).write_bytes(b"silence")


def a_clip_is_gone(folder: Path) -> None:
    _clip(folder).unlink()


def a_clip_and_a_letter_were_put_in(folder: Path) -> None:
    shutil.copy(_clip(folder), folder / "clips" / f"{'0' * 64}.flac")
    (folder / "letter.txt").write_text("Hello", encoding="utf-8")


def a_time_stamp_is_not_asked_for(folder: Path) -> None:
    (folder / TIME_STAMP).write_bytes(b"a stamp")


def a_folder_is_called_as_the_time_stamp(folder: Path) -> None:
    (folder / TIME_STAMP).mkdir()


def a_clip_is_a_folder(folder: Path) -> None:
    clip = _clip(folder)
    clip.unlink()
    clip.mkdir()


DONE: tuple[Callable[[Path], None], ...] = (
    an_entry_is_taken_out,
    an_entry_is_changed,
    the_last_entry_is_changed,
    the_running_time_goes_back,
    a_line_is_no_entry,
    the_log_is_empty,
    the_last_line_is_half,
    the_end_is_cut_off,
    the_seal_is_gone,
    the_name_in_the_seal_is_changed,
    the_seal_is_written_with_other_spaces,
    the_task_is_changed,
    the_task_is_gone,
    a_clip_is_changed,
    a_clip_is_gone,
    a_clip_and_a_letter_were_put_in,
    a_time_stamp_is_not_asked_for,
    a_folder_is_called_as_the_time_stamp,
    a_clip_is_a_folder,
)


def _told(name: str, record: Path) -> str:
    """What verify says, with the SHA-256 that follow from the version left out."""
    found = verify(record)
    told = [*(f"problem: {each}" for each in found.problems), *found.notes]
    short = (re.sub(r"\b[0-9a-f]{64}\b", "SHA-256", each) for each in told)
    return "\n  ".join([name, *(each.replace(str(record), "RECORD") for each in short)]) + "\n"


def _all(made: Path) -> dict[str, str]:
    hold(made / "whole")
    found = {}
    for each in DONE:
        record = shutil.copytree(made / "whole", made / each.__name__)
        each(record)
        name = each.__name__.replace("_", " ")
        found[name] = _told(name, record)
    clock = Clock()
    hold(
        made / "back",
        utc_now=lambda: clock.now - timedelta(hours=clock.runs.seconds > 12),
        since_start=clock.since_start,
    )
    found["clock"] = _told("the clock was set back", made / "back")
    hold(made / "keyless", ("pin fitted",), keys=None)
    go_on(made / "keyless")
    found["keyless"] = _told("it was begun without a key", made / "keyless")
    return found


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    return _all(tmp_path_factory.mktemp("wrong"))


def test_what_is_wrong_is_told_word_for_word(told: dict[str, str]) -> None:
    assert "\n".join(told.values()) == TOLD.read_text(encoding="utf-8")


if __name__ == "__main__":
    with TemporaryDirectory() as folder:
        TOLD.write_text("\n".join(_all(Path(folder)).values()), encoding="utf-8")
