"""The first entry tells what a supervisor must know of how the run was held."""

from datetime import datetime, timedelta, timezone
from importlib.metadata import version
from pathlib import Path

import pytest

from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.models.versions import models_that_listen
from handsfree.record import Circumstances, Record
from handsfree.record.chain import read_chain
from handsfree.record.entries import read_entry
from handsfree.record.marks import RecordOpened, Resumed, Way
from handsfree.record.values import value_from
from tests.record.runs import KEYS, SMALL, NoSync, entries_of

HELD = Circumstances("small", "1", Way.CLIP, (("reader/network.onnx", "ab" * 32),))
SUMMER = timezone(timedelta(hours=2))


def local() -> datetime:
    return datetime(2031, 5, 4, 14, tzinfo=SUMMER)


def begun(folder: Path) -> Path:
    clock = (local, lambda: timedelta(0))
    Record(folder, SMALL, *clock, KEYS, NoSync(), circumstances=HELD).close()
    return folder


def test_the_first_entry_has_the_versions_of_tool_models_and_task(tmp_path: Path) -> None:
    opened = entries_of(begun(tmp_path / "run"))[0].value
    assert isinstance(opened, RecordOpened)
    assert opened.handsfree == version("handsfree")
    assert (opened.task, opened.revision) == ("small", "1")
    assert opened.task_sha256 == read_chain(tmp_path / "run").opened.task_sha256  # type: ignore[union-attr]
    assert opened.models == HELD.models
    assert opened.heard is Way.CLIP


def test_the_first_entry_tells_how_far_local_time_is_from_utc(tmp_path: Path) -> None:
    first = entries_of(begun(tmp_path / "run"))[0]
    assert isinstance(first.value, RecordOpened)
    assert (first.utc, first.value.zone) == ("2031-05-04T12:00:00.000+00:00", "+02:00")


def test_whoever_goes_on_tells_it_anew(tmp_path: Path) -> None:
    folder = begun(tmp_path / "run")
    typed = Circumstances(heard=Way.TYPED)
    with Record.go_on(
        folder, local, lambda: timedelta(0), KEYS, NoSync(), circumstances=typed
    ) as record:
        record.tell_of_resuming("pin")
    assert entries_of(folder)[-1].value == Resumed(
        "pin", KEYS.name, version("handsfree"), Way.TYPED, (), "+02:00"
    )


@pytest.mark.parametrize(
    "model", [each.name for each in read_catalogue().model if each.sha256 and each.listens]
)
def test_every_file_of_the_models_that_listen_and_come_with_it_is_named(model: str) -> None:
    told = dict(models_that_listen())
    entry = read_catalogue().entry(model)
    assert {name: told[f"{model}/{name}"] for name in entry.sha256} == entry.sha256


def test_the_first_entry_of_an_older_version_can_be_read() -> None:
    """As version 0.1 wrote it, before it told of models and zone."""
    old = {"handsfree": "0.1.0", "task_sha256": "cd" * 32, "by": None}
    assert value_from(RecordOpened, old).models == ()
    line = b'{"kind":"resumed","seq":3,"utc":"2031-05-04T12:00:00+00:00","offset_ms":1,"prev":"'
    line += b"0" * 64 + b'","step":"pin","by":null}'
    assert read_entry(line, 3).value == Resumed("pin", None)
