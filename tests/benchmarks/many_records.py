"""Many records: how fast they are indexed, what has changed is found, and pages come over HTTP.

Each part prints its figures for RESULTS.md, and they go together so:

    python -m tests.benchmarks.many_records make FOLDER 5000   # goes on where it was ended
    python -m tests.benchmarks.many_records index FOLDER       # all that is not indexed yet
    python -m tests.benchmarks.many_records pages FOLDER
"""

import http.client
import os
import resource
import statistics
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlsplit

from rich.console import Console
from rich.progress import track

from handsfree.index.collection import Collection
from handsfree.index.noting import Trust
from handsfree.index.serving import OpenList
from handsfree.index.store import Store
from tests.index.made import many

DIFFERENT = 40
_TIMES = 7
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


def index(folder: Path) -> None:
    """Bring the index up to date, and tell what that took."""
    file = folder / "index.duckdb"
    began = time.process_time()
    with Store(file) as store:
        collection = Collection(folder / "records", store, Trust(), lambda: datetime.now(UTC))
        found = collection.look()
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    core_s = time.process_time() - began + children.ru_utime + children.ru_stime
    each = found.read or found.records
    print(
        f"| {found.records} records, {found.read} new or changed | {len(os.sched_getaffinity(0))} "
        f"| {found.seconds:.1f} | {core_s:.1f} | {each / found.seconds:.1f} | {_memory()} "
        f"| {file.stat().st_size / 2**20:.0f} |"
    )


def _memory() -> str:
    """The most that this process had, and any that it began, in MiB."""
    peaks = [
        resource.getrusage(who).ru_maxrss // 1024
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    ]
    return " and ".join(str(each) for each in peaks if each)


@contextmanager
def served(folder: Path) -> Iterator[http.client.HTTPConnection]:
    """The list, served."""
    with Store(folder / "index.duckdb") as store:
        collection = Collection(folder / "records", store, Trust(), lambda: datetime.now(UTC))
        collection.look()
        with OpenList(collection, "127.0.0.1", 0) as opened:
            where = urlsplit(opened.url)
            yield http.client.HTTPConnection(str(where.hostname), where.port, timeout=300)


def seconds_to_get(connection: http.client.HTTPConnection, path: str) -> tuple[float, int]:
    """How long until the last byte, and how many there are."""
    began = time.perf_counter()
    connection.request("GET", path, headers={"Connection": "close"})
    answer = connection.getresponse()
    content = answer.read()
    assert answer.status == 200, (path, answer.status)
    return time.perf_counter() - began, len(content)


def pages(folder: Path) -> None:
    """How long each page takes, the first time and again, and the memory of the server."""
    print("| page, over HTTP | first time, s | again, median s | KiB |")
    print("| --- | ---: | ---: | ---: |")
    with served(folder) as connection:
        for name, path in PAGES.items():
            first, size = seconds_to_get(connection, path)
            again = [seconds_to_get(connection, path)[0] for _ in range(_TIMES)]
            print(f"| {name} | {first:.2f} | {statistics.median(again):.2f} | {size / 1024:.0f} |")
        print(f"\nMemory of the server at most, without exports: {_memory()} MiB.")
        for form in ("csv", "parquet"):
            took, size = seconds_to_get(connection, f"/export/steps.{form}")
            print(f"Every step as {form}: {took:.1f} s, {size / 2**20:.1f} MiB.")
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
        case ["pages", folder]:
            pages(Path(folder))
        case _:
            raise SystemExit(__doc__)


if __name__ == "__main__":
    main()
