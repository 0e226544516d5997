"""What the record costs: `python -m tests.benchmarks.record`, on a machine at rest.

Prints Markdown blocks for RESULTS.md. The record that is measured is made by the engine; what is
heard has the opinions of two listeners, as in a real run, and no sound unless clips are measured.
"""

import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from rich.console import Console

from handsfree.cli.verify_shown import told_in_a_line
from handsfree.engine.advance import advance, before_start
from handsfree.engine.effects import Finish, Say, Write
from handsfree.engine.events import Event, Spoken, Started
from handsfree.hearing.audio import Audio
from handsfree.record import Record
from handsfree.record.chain import read_chain
from handsfree.record.entries import read_entries
from handsfree.record.replay import left_off, replay
from handsfree.record.verify import verify
from handsfree.words.heard import Heard, Opinion
from tests.engine.conversation import BOTTLE as TEXT
from tests.engine.conversation import TASK
from tests.record.runs import KEYS, NoSync

_APPENDS = 2000
_TURNS_AN_HOUR = 600  # one in six seconds: quicker than work with both hands can be
_MANY = 100_000
_RECORDS, _ENTRIES = 1000, 1000
_DIFFERENT = 10  # records that are made; the others are copies


def heard(words: str, at: timedelta) -> Heard:
    """As two listeners hear it."""
    said = tuple(words.split())
    opinions = (
        Opinion("reader", said, -0.0312, 7.25, words),
        Opinion("whisper-tiny.en", said, -0.4821, float("inf"), f"{words.capitalize()}."),
    )
    return Heard(said, 0.9876, (said[::-1],), opinions, at, at + timedelta(seconds=1.5))


def chatter() -> Iterator[str]:
    """A task that never ends: its first step, with talk, doubt and standing by."""
    while True:
        yield from ("say again", "what is that", "how do you read", "stand by", "hand me that")
        yield "go ahead"


def fill(record: Record, enough: Callable[[int], bool]) -> int:
    """Put events and decisions on the record until there are enough; their number."""
    state, events = before_start(TASK), iter(chatter())
    event: Event = Started()
    count = 1
    while True:
        if isinstance(event, Heard):
            record.append(event, clip=None, source="technician")
        else:
            record.append(event)
        state, effects = advance(TASK, state, event)
        count += 1
        for effect in effects:
            if isinstance(effect, Write | Say):
                record.append(effect.entry if isinstance(effect, Write) else effect)
                count += 1
            assert not isinstance(effect, Finish)
        event = Spoken() if state.speaking else heard(next(events), record.running_time())
        if enough(count) and not state.speaking:
            return count


def new_record(folder: Path) -> Record:
    """A record without waiting for the disk, for what is read and not written here."""
    runs = iter(range(10**9))
    return Record(
        folder,
        TEXT,
        lambda: datetime.now(UTC),
        lambda: timedelta(seconds=next(runs)),
        KEYS,
        NoSync(),
    )


def append(folder: Path) -> None:
    """Append with fsync beside a bare write with fsync of the same bytes, in turn."""
    began = time.monotonic()

    def since_start() -> timedelta:
        return timedelta(seconds=time.monotonic() - began)

    ours: list[float] = []
    bare: list[float] = []
    with Record(folder / "append", TEXT, lambda: datetime.now(UTC), since_start) as record:
        log = folder / "append" / "log.jsonl"
        other = os.open(folder / "bare", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        values = [
            effect.entry if isinstance(effect, Write) else effect
            for effect in advance(TASK, before_start(TASK), Started())[1]
            if isinstance(effect, Write | Say)
        ]
        size = log.stat().st_size
        reader = log.open("rb")
        for number in range(_APPENDS):
            before = time.perf_counter()
            record.append(values[number % len(values)])
            ours.append((time.perf_counter() - before) * 1000)
            reader.seek(size)
            line = reader.read()
            size += len(line)
            before = time.perf_counter()
            os.write(other, line)
            os.fsync(other)
            bare.append((time.perf_counter() - before) * 1000)
        os.close(other)
        reader.close()
    print(f"\nAppend with fsync, {_APPENDS} entries, {size / (_APPENDS + 1):.0f} bytes each:\n")
    print("| | median ms | p99 ms |\n| --- | --- | --- |")
    p99 = [statistics.quantiles(times, n=100)[-1] for times in (ours, bare)]
    median = [statistics.median(times) for times in (ours, bare)]
    print(f"| append | {median[0]:.3f} | {p99[0]:.3f} |")
    print(f"| bare write and fsync of the same bytes | {median[1]:.3f} | {p99[1]:.3f} |")
    print(f"| ratio | {median[0] / median[1]:.2f} | {p99[0] / p99[1]:.2f} |")


def best_of(times: int, does: Callable[[], object]) -> float:
    """The shortest of some runs, in seconds of a core: what other programs take does not count."""
    took = []
    for _ in range(times):
        before = time.process_time()
        does()
        took.append(time.process_time() - before)
    return min(took)


def many(folder: Path) -> None:
    """A record of 100,000 entries: verify, resume, and the memory that they take."""
    with new_record(folder / "many") as record:
        count = fill(record, lambda entries: entries >= _MANY)
        record.seal()
    megabytes = (folder / "many" / "log.jsonl").stat().st_size / 1e6
    took = best_of(5, lambda: verify(folder / "many"))
    each = megabytes / count * 1e6
    print(f"\n{count} entries, {megabytes:.1f} MB of log, {each:.0f} bytes each:\n")
    print("| | | |\n| --- | --- | --- |")
    print(f"| verify, best of 5 | {took:.2f} s of a core | {megabytes / took:.0f} MB/s |")
    for what in ("verify", "resume"):
        command = [sys.executable, "-m", "tests.benchmarks.record", what, str(folder / "many")]
        before = time.perf_counter()
        peak = subprocess.check_output(command, text=True).strip()
        took = time.perf_counter() - before
        print(f"| {what} in a process of its own | {took:.2f} s | {peak} MiB at most |")


def thousand(folder: Path) -> None:
    """A thousand records of a thousand entries: verify of all, as a supervisor asks for it."""
    made = []
    for number in range(_DIFFERENT):
        with new_record(folder / f"made-{number}") as record:
            fill(record, lambda entries: entries >= _ENTRIES)
            record.seal()
        made.append(folder / f"made-{number}")
    records = [folder / f"record-{number}" for number in range(_RECORDS)]
    for number, each in enumerate(records):
        shutil.copytree(made[number % len(made)], each)
    before = time.perf_counter()
    command = [sys.executable, "-m", "tests.benchmarks.record", "verify-many", str(folder)]
    core, peak = subprocess.check_output(command, text=True).split()
    took = time.perf_counter() - before
    print(f"\n{_RECORDS} records of {_ENTRIES} entries, `verify` of all in one process:\n")
    print("| | | |\n| --- | --- | --- |")
    print(f"| of a core | {float(core):.1f} s | {_RECORDS / float(core):.0f} records/s |")
    print(f"| of the clock | {took:.1f} s | {peak} MiB at most |")


def hour(folder: Path) -> None:
    """Replay of a task of 60 minutes."""
    with new_record(folder / "hour") as record:
        turns = 0

        def enough(_: int) -> bool:
            nonlocal turns
            turns += 1
            return turns > 2 * _TURNS_AN_HOUR

        count = fill(record, enough)
    took = best_of(5, lambda: list(replay(TASK, read_entries(folder / "hour"))))
    print(f"\nReplay of an hour, {_TURNS_AN_HOUR} turns, {count} entries: {took:.2f} s of a core.")


def clips(folder: Path) -> None:
    """Verify of clips beside bare SHA-256 of the same files."""
    rng = np.random.default_rng(1)
    with new_record(folder / "clips") as record:
        for _ in range(200):
            noise = rng.normal(0, 0.1, 10 * 16_000).astype(np.float32)
            clip = record.keep_clip(Audio(noise, timedelta(0)))
            record.append(heard("affirm", timedelta(0)), clip=clip.sha256, source="technician")
        record.seal()
    files = list((folder / "clips" / "clips").iterdir())
    megabytes = sum(file.stat().st_size for file in files) / 1e6

    def bare() -> None:
        import hashlib

        for file in files:
            hashlib.sha256(file.read_bytes()).digest()

    ours, theirs = best_of(5, lambda: verify(folder / "clips")), best_of(5, bare)
    print(
        f"\nVerify of {len(files)} clips, {megabytes:.0f} MB: {megabytes / ours:.0f} MB/s; bare "
        f"SHA-256 of the same files {megabytes / theirs:.0f} MB/s."
    )


def alone(what: str, folder: Path) -> None:
    """One job, and the most memory that this process ever had, in MiB."""
    if what == "verify-many":
        before = time.process_time()
        for each in folder.glob("record-*"):
            found = verify(each)
            assert not found.problems
            assert told_in_a_line(each, found)
        print(time.process_time() - before)
    elif what == "verify":
        assert not verify(folder).problems
    else:
        clock = time.monotonic()
        with Record.go_on(
            folder,
            lambda: datetime.now(UTC),
            lambda: timedelta(seconds=time.monotonic() - clock),
            KEYS,
        ):
            assert left_off(TASK, read_entries(folder)).is_begun
        assert read_chain(folder).broken is None
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)


def main() -> None:
    """Measure and print."""
    if len(sys.argv) == 3:
        alone(sys.argv[1], Path(sys.argv[2]))
        return
    wanted = sys.argv[1:]
    print(
        f"Measured on {datetime.now(UTC):%Y-%m-%d} on {os.cpu_count()} cores with "
        "`python -m tests.benchmarks.record`."
    )
    # Beside the project and not in /tmp, which can be memory: fsync must mean something.
    with tempfile.TemporaryDirectory(dir=Path(__file__).parents[2], prefix=".cache-") as folder:
        for measure in (append, many, thousand, hour, clips):
            if wanted and measure.__name__ not in wanted:
                continue
            with Console(stderr=True).status(measure.__doc__ or ""):
                measure(Path(folder))


if __name__ == "__main__":
    main()
