"""The record: canonical lines, on disk before anything is answered, never written over."""

import errno
import fcntl
import json
import os
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
import rfc8785
import soundfile

from handsfree.engine.entries import NotActedOn, NotHeeded, ReadingTaken
from handsfree.hearing.audio import Audio
from handsfree.record import Record, RecordExists, RecordNotWritten
from handsfree.record.clips import encode_flac, name_of
from handsfree.record.files import SystemFiles
from handsfree.record.log import Log
from handsfree.record.values import as_json, kind_of
from handsfree.task.limits.forms import Verdict
from handsfree.words.heard import Heard, Opinion

NOON = datetime(2031, 5, 4, 12, 0, 0, 250_000, tzinfo=UTC)
READING = ReadingTaken(
    "pressure", Decimal("3050.0"), "psi", "3050.0", Verdict.INSIDE, "8000/3", None, corrects=False
)


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with Record(
        tmp_path / "run", "task: x\n", lambda: NOON, lambda: timedelta(seconds=1.5)
    ) as made:
        yield made


def lines(record: Record) -> list[bytes]:
    return (record.folder / "log.jsonl").read_bytes().splitlines()


def test_an_entry_says_what_when_and_in_which_order(record: Record) -> None:
    record.append(READING)
    record.append(NotHeeded("pressure", ("pin", "in"), NotActedOn.DOUBTFUL))
    opened, first, second = (json.loads(line) for line in lines(record))
    assert first == {
        "kind": "reading-taken",
        "seq": 1,
        "prev": name_of(lines(record)[0]),
        "utc": "2031-05-04T12:00:00.250+00:00",
        "offset_ms": 1500,
        "step": "pressure",
        "value": "3050.0",
        "unit": "psi",
        "figures": "3050.0",
        "verdict": "inside limits",
        "lowest": "8000/3",
        "highest": None,
        "judged": None,
        "corrects": False,
        "scale": None,
    }
    assert (opened["seq"], opened["kind"], opened["prev"]) == (0, "record-opened", "0" * 64)
    assert (second["seq"], second["words"], second["reason"]) == (
        2,
        ["pin", "in"],
        "doubtful hearing",
    )


def test_every_line_is_canonical_json(record: Record) -> None:
    """RFC 8785, by the reference library rfc8785: writing the parsed line again changes nothing."""
    record.append(READING)
    for line in lines(record):
        assert rfc8785.dumps(json.loads(line)) == line


def test_the_task_is_kept_as_it_was_run(record: Record) -> None:
    assert (record.folder / "task.yaml").read_text() == "task: x\n"


def test_an_entry_is_on_disk_when_append_returns(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[bytes] = []
    monkeypatch.setattr(
        os, "fsync", lambda _: synced.append((record.folder / "log.jsonl").read_bytes())
    )
    record.append(READING)
    assert synced == [(record.folder / "log.jsonl").read_bytes()]
    assert synced[0].endswith(b"\n")


def test_a_write_that_takes_only_a_part_is_carried_on(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = os.write
    monkeypatch.setattr(os, "write", lambda file, content: whole(file, content[:7]))
    record.append(READING)
    assert json.loads(lines(record)[1])["value"] == "3050.0"


@pytest.mark.parametrize("call", ["write", "fsync"])
def test_a_full_disk_is_told_and_not_acknowledged(
    record: Record, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, call, full)
    with pytest.raises(RecordNotWritten, match=r"log\.jsonl: cannot be written \(No space left"):
        record.append(READING)


def test_a_record_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "something").touch()
    with pytest.raises(RecordExists, match=r"a record is never written over\. Name another folder"):
        Record(tmp_path, "", lambda: NOON, lambda: timedelta(0))


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(RecordNotWritten, match=r"cannot be written \(Not a directory\)"):
        Record(tmp_path / "file" / "run", "", lambda: NOON, lambda: timedelta(0))


def test_a_clip_is_kept_bit_for_bit_and_named_by_its_hash(record: Record) -> None:
    """FLAC is lossless: libsndfile gives back the same 16-bit samples."""
    samples = np.random.default_rng(1).integers(-32768, 32767, 16_000).astype(np.int16)
    clip = record.keep_clip(Audio((samples / 32768).astype(np.float32), timedelta(0)))
    path = record.folder / "clips" / f"{clip.sha256}.flac"
    back, rate = soundfile.read(path, dtype="int16")
    assert rate == 16_000
    assert np.array_equal(back, samples)
    assert name_of(path.read_bytes()) == clip.sha256


def test_the_same_clip_is_kept_once(record: Record) -> None:
    audio = Audio(np.zeros(160, np.float32), timedelta(0))
    assert record.keep_clip(audio) == record.keep_clip(audio)
    assert len(list((record.folder / "clips").iterdir())) == 1
    assert name_of(encode_flac(audio)) == record.keep_clip(audio).sha256


def test_sha256_is_that_of_the_standard() -> None:
    """FIPS 180-4 example "abc" (NIST, SHA256 example file)."""
    assert name_of(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_what_was_heard_keeps_every_opinion() -> None:
    heard = Heard(
        ("affirm",),
        0.75,
        (("a", "firm"),),
        (Opinion("whisper", ("affirm",), -0.5, float("inf"), "A firm."),),
        timedelta(seconds=1),
        timedelta(seconds=2.5),
    )
    assert kind_of(heard) == "heard"
    assert as_json(heard) == {
        "kind": "heard",
        "words": ["affirm"],
        "score": 0.75,
        "alternatives": [["a", "firm"]],
        "opinions": [
            {
                "kind": "opinion",
                "listener": "whisper",
                "words": ["affirm"],
                "log_probability": -0.5,
                "margin": "Infinity",
                "free_text": "A firm.",
            }
        ],
        "started": 1000,
        "ended": 2500,
        "channel": None,
        "typed": False,
        "trouble": None,
        "ended_by": None,
    }


def test_a_type_that_the_core_does_not_use_is_refused() -> None:
    with pytest.raises(TypeError, match="is not a dataclass value"):
        as_json(object())


class FullFolder(SystemFiles):
    """No name in the folder can be made durable."""

    def sync_folder(self, path: Path) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_log_that_cannot_be_opened_whole_says_why_and_is_let_go(tmp_path: Path) -> None:
    with pytest.raises(RecordNotWritten) as caught:
        Log.begin(tmp_path, lambda: NOON, lambda: timedelta(0), FullFolder())
    why = "cannot be written (No space left on device)"
    assert str(caught.value).startswith(f"{tmp_path}: {why}. The task holds here")
    with (tmp_path / "log.jsonl").open("rb") as log:
        fcntl.flock(log, fcntl.LOCK_EX | fcntl.LOCK_NB)  # raises where somebody holds it
