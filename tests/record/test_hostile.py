"""A record that somebody has made: whatever is in it, it is told in words, and never crashes us."""

import json
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.errors import HandsfreeError
from handsfree.record.chain import BEGINNING, link, read_chain
from handsfree.record.entries import read_entries
from handsfree.record.redact import redact
from handsfree.record.repair import RecordDamaged
from handsfree.record.replay import left_off, replay
from handsfree.record.summary import summarise
from handsfree.record.summary_text import as_text
from handsfree.record.task_file import read_task_of
from handsfree.record.verify import verify
from tests.how_many import examples
from tests.record.runs import KEYS, Clock, NoSync, go_on, hold, lines_of

JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=8)
    | st.sampled_from(["inside limits", "heard", "redacted", "record-opened", "say", "1e999"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner),
    max_leaves=5,
)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile") / "run"
    hold(folder, keys=None)
    return folder


def use(folder: Path) -> None:
    """All that can be done with a record."""
    task = read_task_of(folder)
    verified = verify(folder)
    for does in (
        lambda: list(replay(task, read_entries(folder))),
        lambda: left_off(task, read_entries(folder)),
        lambda: as_text(summarise(task, read_entries(folder), verified, "")),
        lambda: go_on(folder, keys=None),
    ):
        with suppress(HandsfreeError):
            does()


def chained(entries: list[Any]) -> bytes:
    """The entries with a right chain: anybody can make that."""
    head, log = BEGINNING, b""
    for entry in entries:
        line = rfc8785.dumps(entry | {"prev": head} if isinstance(entry, dict) else entry)
        head = link(line)
        log += line + b"\n"
    return log


def made(folder: Path, whole: Path, entries: list[Any]) -> Path:
    (folder / "clips").mkdir(parents=True)
    (folder / "task.yaml").write_bytes((whole / "task.yaml").read_bytes())
    (folder / "log.jsonl").write_bytes(chained(entries))
    return folder


@settings(max_examples=examples(100))
@given(st.data())
def test_a_record_with_any_value_anywhere_is_told_in_words(
    whole: Path, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    entries = [json.loads(line) for line in lines_of(whole)]
    at = data.draw(st.integers(0, len(entries) - 1))
    name = data.draw(st.sampled_from(sorted(entries[at])) | st.text(max_size=4))
    entries[at][name] = data.draw(JSON)
    use(made(tmp_path_factory.mktemp("any") / "run", whole, entries))


@pytest.mark.parametrize("value", ["yesterday", None, [], 1e300, {"a": 1}])
@pytest.mark.parametrize("name", ["utc", "offset_ms", "clip", "source", "words", "task_sha256"])
def test_a_record_with_a_wrong_value_of_ours_is_told_in_words(
    whole: Path, tmp_path: Path, name: str, value: object
) -> None:
    entries = [json.loads(line) for line in lines_of(whole)]
    for number, entry in enumerate(entries):
        if name in entry and entry["kind"] in ("record-opened", "heard", "task-ended"):
            right = entry[name]
            entry[name] = value
            use(made(tmp_path / str(number), whole, entries))
            entry[name] = right


def test_a_log_that_nothing_opens_is_told(whole: Path, tmp_path: Path) -> None:
    entries = [json.loads(line) for line in lines_of(whole)]
    common = {name: entries[0][name] for name in ("seq", "utc", "offset_ms")}
    entries[0] = common | {"kind": "spoken"}
    folder = made(tmp_path / "run", whole, entries)
    assert str(verify(folder).problems[0]) == (
        "log.jsonl, entry 0: does not open a record. "
        f"{len(entries) - 1} entries after it follow from it."
    )
    use(folder)


@pytest.mark.parametrize("clip", ["../../outside", "/outside", "..", "A" * 64, "a" * 63])
def test_a_clip_can_only_be_named_by_its_hash(whole: Path, tmp_path: Path, clip: str) -> None:
    """Or a record from elsewhere could have files removed that are none of its clips."""
    outside = tmp_path / "outside.flac"
    outside.touch()
    entries = [json.loads(line) for line in lines_of(whole)]
    at = next(number for number, entry in enumerate(entries) if entry.get("clip"))
    for number, kind in enumerate(("heard", "redacted")):
        hostile = [*entries]
        if kind == "heard":
            hostile[at] = entries[at] | {"clip": clip}
        else:
            common = {name: entries[-1][name] for name in ("utc", "offset_ms")}
            hostile.append(common | {"kind": kind, "clips": [clip], "by": None, "reason": "",
                                     "seq": len(entries)})  # fmt: skip
        folder = made(tmp_path / str(number) / "run", whole, hostile)
        assert "is no entry" in str(verify(folder).problems[0])
        with pytest.raises(RecordDamaged, match="is no entry"):
            redact(folder, "", KEYS, Clock().utc, files=NoSync())
    assert outside.exists()


@pytest.mark.parametrize(
    "line",
    [
        b"[" * 100_000,
        b'{"a":' + b"[" * 100_000 + b"]" * 100_000 + b"}",
        b"null",
        b"[]",
        b'{"seq":1e999}',
        b'{"seq":0,"kind":"say","utc":"","offset_ms":1e300,"prev":"' + b"0" * 64 + b'"}',
        b"\xff\xfe",
        b"",
    ],
    ids=lambda line: repr(line[:12]),
)
def test_a_line_that_is_no_entry_is_told_in_words(whole: Path, tmp_path: Path, line: bytes) -> None:
    folder = tmp_path / "run"
    (folder / "clips").mkdir(parents=True)
    (folder / "task.yaml").write_bytes((whole / "task.yaml").read_bytes())
    for lines in ([line], [*lines_of(whole)[:3], line + b"\n", *lines_of(whole)[3:]]):
        (folder / "log.jsonl").write_bytes(b"".join(lines) + b"\n")
        broken = read_chain(folder).broken
        assert broken is not None
        assert broken.entry in (0, 3)
        use(folder)
