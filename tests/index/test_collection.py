"""A folder that is served is looked at again, and the list is reached on a socket."""

import http.client
import threading
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from handsfree.index import collection as module
from handsfree.index.collection import Collection
from handsfree.index.noting import Trust
from handsfree.index.serving import ListNotServed, OpenList
from handsfree.index.store import Store
from handsfree.serving.server import bind
from tests.index.shelf import NOW, collected
from tests.record.runs import hold


def test_a_record_that_comes_while_the_list_is_served_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is waited for no longer than it takes; the wait between two looks is none here."""
    monkeypatch.setattr(module, "LOOK_AGAIN_S", 0.0)
    found = threading.Event()

    class Watched(Collection):
        def look(self, *args: object) -> object:  # type: ignore[override]
            indexed = super().look()
            if indexed.records == 2:
                found.set()
            return indexed

    hold(tmp_path / "root" / "first")
    with (
        Store(tmp_path / "index") as store,
        Watched(tmp_path / "root", store, Trust(), lambda: NOW) as served,
    ):
        served.look()
        served.keep_looking()
        hold(tmp_path / "second")
        (tmp_path / "second").rename(tmp_path / "root" / "second")
        assert found.wait(60)


def test_a_look_that_fails_is_told_and_the_next_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(module, "LOOK_AGAIN_S", 0.0)
    again = threading.Event()
    looks = []

    def fails(*_: object) -> None:
        looks.append(1)
        if len(looks) == 2:
            again.set()
        raise OSError("the disk has gone")

    monkeypatch.setattr(module, "bring_up_to_date", fails)
    with (
        Store(tmp_path / "index") as store,
        Collection(tmp_path, store, Trust(), lambda: NOW) as served,
    ):
        served.keep_looking()
        assert again.wait(60)
    assert "the folder could not be looked at" in caplog.text


def test_the_list_is_read_over_a_socket(tmp_path: Path) -> None:
    hold(tmp_path / "root" / "run")
    with (
        collected(tmp_path / "root", tmp_path / "index") as served,
        OpenList(served, "127.0.0.1", 0) as opened,
    ):
        assert "token" not in opened.url
        where = urlsplit(opened.url)
        connection = http.client.HTTPConnection(str(where.hostname), where.port, timeout=60)
        connection.request("GET", "/")
        assert b"<h1>1 record</h1>" in connection.getresponse().read()
        connection.close()


def test_where_others_can_reach_it_the_address_has_a_token(tmp_path: Path) -> None:
    with (
        collected(tmp_path, tmp_path / "index") as served,
        OpenList(served, "0.0.0.0", 0) as opened,
    ):
        assert len(opened.url.partition("/?token=")[2]) == 22


def test_a_port_in_use_is_said_in_one_line_with_what_to_do(tmp_path: Path) -> None:
    with collected(tmp_path, tmp_path / "index") as served, bind("127.0.0.1", 0) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(ListNotServed) as refused:
            OpenList(served, "127.0.0.1", port)
    assert str(refused.value) == (
        f"records: 127.0.0.1 port {port} cannot be used (Address already in use). Name another "
        "--port or --host."
    )
