"""The page of an hour: how long it takes to make, its size, its first paint, and a seek.

    python -m tests.benchmarks.page

The record is `tests/page/long_record.py`. Making is timed in this process, from a record that is
verified to the file, with and without sounds and voices. Paint and seek are what headless Chromium
tells: First Contentful Paint (W3C Paint Timing), and the time from moving the moment to the frame
after the one that shows it.
"""

import shutil
import statistics
import tempfile
import time
from pathlib import Path

from handsfree.page import writing
from handsfree.page.writing import write_page
from handsfree.record.task_file import read_task_of
from handsfree.record.verify import verify
from tests.page.long_record import hold_long
from tests.page.looking import CHROMIUM, Looked, launched

_RUNS = 5
_SEEKS = 60
_PAINT = "performance.getEntriesByName('first-contentful-paint')[0].startTime"
_SEEK = """() => new Promise((done) => {
  const began = performance.now();
  step(1);
  requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - began)));
})"""


def made(folder: Path, to: Path, with_voices: bool) -> tuple[float, float, int]:
    """Seconds on the clock, seconds of the processor, and bytes."""
    to.unlink(missing_ok=True)
    shutil.rmtree(to.with_name(f"{to.stem}-sounds"), ignore_errors=True)
    task = read_task_of(folder)
    clock, processor = time.perf_counter(), time.process_time()
    write_page(folder, task, verify(folder), to, with_voices)
    return time.perf_counter() - clock, time.process_time() - processor, to.stat().st_size


def in_browser(file: Path) -> tuple[float, list[float]]:
    """First Contentful Paint and seeks, in milliseconds."""
    paints: list[float] = []
    seeks: list[float] = []
    for browser in launched():
        for _ in range(_RUNS):
            looked = Looked(browser, file)
            looked.until("performance.getEntriesByName('first-contentful-paint').length === 1")
            paints.append(looked.page.evaluate(_PAINT))
            seeks += [looked.page.evaluate(_SEEK) for _ in range(_SEEKS)]
            looked.page.close()
    return statistics.median(paints), sorted(seeks)


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as place:
        folder, file = Path(place) / "run", Path(place) / "page.html"
        hold_long(folder)
        for name, most_inside, with_voices in (
            ("sounds beside it, no voices", 0, False),
            ("sounds inside, no voices", writing.MOST_INSIDE, False),
            ("sounds inside, voices compared", writing.MOST_INSIDE, True),
        ):
            writing.MOST_INSIDE = most_inside
            runs = [made(folder, file, with_voices) for _ in range(_RUNS)]
            clock, processor = (statistics.median(each[at] for each in runs) for at in (0, 1))
            size = f"{runs[0][2] / 2**20:.2f} MiB"
            print(f"{name}: {clock:.2f} s, of the processor {processor:.2f} s, {size}")
        if CHROMIUM is None:
            print("no Chromium: paint and seek are not measured")
            return
        paint, seeks = in_browser(file)
        print(f"first contentful paint: {paint:.0f} ms")
        median, worst = statistics.median(seeks), seeks[-1]
        print(f"seek: median {median:.0f} ms, worst of {len(seeks)} {worst:.0f} ms")


if __name__ == "__main__":
    main()
