"""Many records: how fast they are indexed, what has changed is found, and pages come over HTTP.

Each part prints its figures for RESULTS.md, and they go together so:

    python -m tests.benchmarks.many_records make FOLDER 5000   # goes on where it was ended
    python -m tests.benchmarks.many_records index FOLDER       # what is not indexed yet, for 5 min
    python -m tests.benchmarks.many_records fill FOLDER        # or all, without reading all
    python -m tests.benchmarks.many_records again FOLDER       # where nothing has changed
    python -m tests.benchmarks.many_records pages FOLDER

To read 5,000 records takes some seven minutes of a core. `fill` reads the 40 that are no copies,
and puts into the index for each copy what reading it would: the same rows on its day, for its
aircraft. It reads some of the copies, and fails where that is not so.
"""

import http.client
import os
import re
import resource
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from urllib.parse import urlsplit

from rich.console import Console
from rich.progress import track

from handsfree.files.plain import plain_bytes
from handsfree.index.collection import Collection
from handsfree.index.folders import Place, mark_of, records_below
from handsfree.index.indexing import bring_up_to_date, made_of
from handsfree.index.noting import Noting, Trust
from handsfree.index.serving import OpenList
from handsfree.index.store import Store
from handsfree.index.tables import TABLES, RecordRow, Row
from handsfree.record.entries import read_entries
from tests.index.made import many

DIFFERENT = 40
_TIMES = 5
_AT_ONCE = 100
_CHECKED = 10
_LONGEST_S = 300.0
PAGES = {
    "the list": "/",
    "the list, worst first": "/?order=worst",
    "everything done with wrench TA31 since March": "/?tool=TA31&since=2031-03-01",
    "what was said: 'bottle pin'": "/?said=bottle+pin",
    "to act on": "/act",
    "all runs of the task side by side": "/runs?task=door-slide-refit&revision=5",
    "the runs of one day side by side": (
        "/runs?task=door-slide-refit&revision=5&since=2031-06-01&until=2031-06-01"
    ),
}


class Enough(Exception):
    """The time is over; what is in the index stays there."""


def index(folder: Path) -> None:
    """Bring the index up to date for so long as is allowed, and tell what that took."""
    file = folder / "index.duckdb"
    began, core = time.monotonic(), time.process_time()
    read = 0

    def watch(done: int, _of: int) -> None:
        nonlocal read
        read = done
        if time.monotonic() - began > _LONGEST_S:
            raise Enough

    with Store(file) as store:
        collection = Collection(folder / "records", store, Trust(), lambda: datetime.now(UTC))
        with suppress(Enough):
            collection.look(watch)
        with store.cursor() as ask:
            there = ask.one("SELECT count(*) FROM records")
    took = time.monotonic() - began
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    core_s = time.process_time() - core + children.ru_utime + children.ru_stime
    heads = (
        "in the index",
        "read now",
        "s",
        "s of a core",
        "of these a second",
        "MiB",
        "file, MiB",
    )
    print(f"| {' | '.join(heads)} |")
    print("| ---: | ---: | ---: | ---: | ---: | ---: | ---: |")
    print(
        f"| {there} | {read} | {took:.1f} | {core_s:.1f} | {(read or there) / core_s:.1f} "
        f"| {_memory()} | {file.stat().st_size / 2**20:.0f} |"
    )


def _memory() -> str:
    """The most that this process had, and any that it began, in MiB."""
    peaks = [
        resource.getrusage(who).ru_maxrss // 1024
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    ]
    return " and ".join(str(each) for each in peaks if each)


def fill(folder: Path) -> None:
    """The index of all records, the copies without reading them."""
    records = folder / "records"
    noting = Noting(Trust())
    places = {place.below.decode(): place for place in records_below(records).places}
    made = {name: noting.note(places[name]) for name in sorted(places)[:DIFFERENT]}
    names = sorted(places)
    with Store(folder / "index.duckdb") as store:
        store.empty()
        for at in track(range(0, len(names), _AT_ONCE), "Filling", console=Console(stderr=True)):
            rows: list[Row] = []
            for name in names[at : at + _AT_ONCE]:
                own = f"run-{int(name.removeprefix('run-')) % DIFFERENT:05}"
                rows += _as_copied(made[own], places[name])
            store.replace([], rows)
        for name in Random(1).sample(names, _CHECKED):
            _check(store, noting.note(places[name]))
        store.tell("made of", made_of(records, Trust()))
    print(f"{len(names)} records are in the index; {_CHECKED} of them were read and are the same.")


def _as_copied(rows: tuple[Row, ...], place: Place) -> Iterator[Row]:
    """The rows of a copy, by those of what it is a copy of, and the first entry of its log."""
    record = rows[0]
    assert isinstance(record, RecordRow)
    entry = next(read_entries(place.folder))
    days = entry.at - datetime.fromisoformat(record.began)
    aircraft = _AIRCRAFT.search(plain_bytes(place.folder / "task.yaml").decode())
    assert aircraft is not None
    for row in rows:
        later = {
            each: _later(getattr(row, each), days)
            for each in ("began", "ended", "utc", "day", "clock", "raised")
            if hasattr(row, each)
        }
        if isinstance(row, RecordRow):
            named = {"place": place.below, "name": place.below.decode()}
            own = {"id": place.id, "mark": mark_of(place.folder), "aircraft": aircraft.group(1)}
            yield replace(row, **later, **named, **own, trust=_NOT_COPIED)  # type: ignore[arg-type]
        else:
            yield replace(row, **later, record=place.id)  # type: ignore[arg-type]


# It tells the key's seals, which a copy has fewer of.
_NOT_COPIED = "not copied"
_AIRCRAFT = re.compile(r"  aircraft: (.*)")


def _later(text: str, days: timedelta) -> str:
    if not text:
        return text
    at = datetime.fromisoformat(text) + days
    if len(text) == len("2031-03-01"):
        return at.date().isoformat()
    if len(text) == len("2031-03-01 08:00"):
        return at.strftime("%Y-%m-%d %H:%M")
    return at.isoformat(timespec="milliseconds")


def _check(store: Store, rows: tuple[Row, ...]) -> None:
    """That the index has of this record what was read of it."""
    record = rows[0]
    assert isinstance(record, RecordRow)
    with store.cursor() as ask:
        for name, table in TABLES.items():
            which = "id" if table is RecordRow else "record"
            found = ask.rows(f"SELECT * FROM {name} WHERE {which} = $id", {"id": record.id})
            own = [asdict(row) for row in rows if type(row) is table]
            for each in (*found, *own):
                for varying in ("trust", "text", "value", "words", "wrote", "meant", "why"):
                    each.pop(varying, None)  # where the registration is said
            key = repr
            assert sorted(map(key, found)) == sorted(map(key, own)), (record.name, name)


def again(folder: Path) -> None:
    """Look again, where nothing has changed."""
    took = []
    with Store(folder / "index.duckdb") as store:
        for _ in range(3):
            before = time.process_time()
            found = bring_up_to_date(store, folder / "records", Trust())
            took.append(time.process_time() - before)
            assert found.read == 0
    print(
        f"Looked again at {found.records} records, nothing changed: {min(took):.2f} s of a core, "
        f"{found.records / min(took):.0f} a second; {_memory()} MiB at most."
    )


@contextmanager
def served(folder: Path) -> Iterator[http.client.HTTPConnection]:
    """The list, served."""
    with Store(folder / "index.duckdb") as store:
        collection = Collection(folder / "records", store, Trust(), lambda: datetime.now(UTC))
        collection.look()
        with OpenList(collection, "127.0.0.1", 0) as opened:
            where = urlsplit(opened.url)
            yield http.client.HTTPConnection(str(where.hostname), where.port, timeout=300)


def got(connection: http.client.HTTPConnection, path: str) -> tuple[float, float, int]:
    """Seconds on the clock until the last byte, seconds of a core (also ours), and bytes."""
    began, core = time.perf_counter(), time.process_time()
    connection.request("GET", path, headers={"Connection": "close"})
    answer = connection.getresponse()
    content = answer.read()
    assert answer.status == 200, (path, answer.status)
    return time.perf_counter() - began, time.process_time() - core, len(content)


def pages(folder: Path) -> None:
    """How long each page takes, the first time and again, and the memory of the server."""
    print(f"Load {os.getloadavg()[0]:.0f}.\n")
    print("| page, over HTTP | first: s | s of a core | again: least s | s of a core | KiB |")
    print("| --- | ---: | ---: | ---: | ---: | ---: |")
    with served(folder) as connection:
        for name, path in PAGES.items():
            first_s, first_core, size = got(connection, path)
            again = [got(connection, path) for _ in range(_TIMES)]
            least_s, least_core, _ = (min(each) for each in zip(*again, strict=True))
            print(
                f"| {name} | {first_s:.2f} | {first_core:.2f} | {least_s:.2f} "
                f"| {least_core:.2f} | {size / 1024:.0f} |",
                flush=True,
            )
        print(f"\nMemory of the server at most, without exports: {_memory()} MiB.")
        for form in ("csv", "parquet"):
            took_s, core_s, size = got(connection, f"/export/steps.{form}")
            print(
                f"Every step as {form}: {took_s:.1f} s, {core_s:.1f} s of a core, "
                f"{size / 2**20:.1f} MiB."
            )
        print(f"Memory of the server at most, with exports: {_memory()} MiB.")


def main() -> None:
    """Do what is asked."""
    match sys.argv[1:]:
        case ["make", folder, count]:
            to = Path(folder) / "records"
            to.mkdir(parents=True, exist_ok=True)
            made = many(to, int(count), DIFFERENT)
            for _ in track(made, "Making records", int(count), console=Console(stderr=True)):
                pass
        case ["index", folder]:
            index(Path(folder))
        case ["fill", folder]:
            fill(Path(folder))
        case ["again", folder]:
            again(Path(folder))
        case ["pages", folder]:
            pages(Path(folder))
        case _:
            raise SystemExit(__doc__)


if __name__ == "__main__":
    main()
