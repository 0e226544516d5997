"""Many records: `python -m tests.benchmarks.many_records make FOLDER 5000`, then `measure FOLDER`.

The first makes the records (`tests/index/made.py`), which takes minutes, and goes on where it was
ended. The second prints a block for RESULTS.md: how fast they are indexed, how fast what has
changed is found, and how long pages take to come over HTTP once that is done.
"""

import http.client
import os
import resource
import statistics
import subprocess
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
from tests.index.made import make, many

DIFFERENT = 40
_NEW = 20
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
    "every step as CSV": "/export/steps.csv",
    "every step as Parquet": "/export/steps.parquet",
}


def look(index: Path, folder: Path) -> None:
    """Bring the index up to date, and tell what that took."""
    with Store(index) as store:
        collection = Collection(folder, store, Trust(), lambda: datetime.now(UTC))
        found = collection.look()
    peaks = [
        resource.getrusage(who).ru_maxrss // 1024
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    ]
    print(found.records, found.read, f"{found.seconds:.2f}", *peaks)


def looked(index: Path, folder: Path) -> tuple[int, float, str]:
    """The same in a process of its own: how many were read, in seconds, and memory in MiB."""
    module = "tests.benchmarks.many_records"
    command = [sys.executable, "-m", module, "look", str(index), str(folder)]
    told = subprocess.check_output(command, text=True).split()
    return int(told[1]), float(told[2]), " and ".join(each for each in told[3:] if each != "0")


@contextmanager
def served(index: Path, folder: Path) -> Iterator[http.client.HTTPConnection]:
    """The list, served."""
    with Store(index) as store:
        collection = Collection(folder, store, Trust(), lambda: datetime.now(UTC))
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


def measure(folder: Path) -> None:
    """Print all figures."""
    index = folder / "index.duckdb"
    index.unlink(missing_ok=True)
    records = folder / "records"
    with Console(stderr=True).status("Indexing"):
        read, first_s, first_memory = looked(index, records)
        size = index.stat().st_size / 2**20
        unchanged = [looked(index, records) for _ in range(3)]
        number = len(list(records.iterdir()))
        for new in range(_NEW):
            make(records / f"new-{number + new}", 1000 + number + new)
        new, new_s, _ = looked(index, records)
    cores = len(os.sched_getaffinity(0))
    print(f"{read} records, {cores} cores, `python -m tests.benchmarks.many_records`:\n")
    print("| | | |\n| --- | --- | --- |")
    print(f"| indexing all | {first_s:.0f} s | {read / first_s:.1f} records/s |")
    print(f"| memory of it at most, MiB | {first_memory} | |")
    print(f"| size of the index, MiB | {size:.0f} | |")
    still = statistics.median(took for _, took, _ in unchanged)
    print(f"| looking again, nothing changed | {still:.2f} s | {read / still:.0f} records/s |")
    print(f"| looking again, {new} new | {new_s:.2f} s | |\n")
    print(
        "| page, over HTTP | first time, s | again, median s | KiB |\n| --- | ---: | ---: | ---: |"
    )
    for name, path in PAGES.items():
        with served(index, records) as connection:
            first, size_of = seconds_to_get(connection, path)
            again = [seconds_to_get(connection, path)[0] for _ in range(_TIMES)]
        print(f"| {name} | {first:.2f} | {statistics.median(again):.2f} | {size_of / 1024:.0f} |")
    print(f"\nMemory of the server at most: {memory_of_a_server(index, records)} MiB.")


def memory_of_a_server(index: Path, folder: Path) -> str:
    """Of a process that has served every page but the exports."""
    module = "tests.benchmarks.many_records"
    command = [sys.executable, "-m", module, "serve", str(index), str(folder)]
    return subprocess.check_output(command, text=True).strip()


def serve(index: Path, folder: Path) -> None:
    """Serve every page once, and tell the memory that took."""
    with served(index, folder) as connection:
        for path in PAGES.values():
            if "export" not in path:
                seconds_to_get(connection, path)
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)


def main() -> None:
    """Do what is asked."""
    match sys.argv[1:]:
        case ["make", folder, count]:
            to = Path(folder) / "records"
            to.mkdir(parents=True, exist_ok=True)
            made = many(to, int(count), DIFFERENT)
            for _ in track(made, "Making records", int(count), console=Console(stderr=True)):
                pass
        case ["measure", folder]:
            measure(Path(folder))
        case ["look", str(index), str(folder)]:
            look(Path(index), Path(folder))
        case ["serve", str(index), str(folder)]:
            serve(Path(index), Path(folder))
        case _:
            raise SystemExit(__doc__)


if __name__ == "__main__":
    main()
