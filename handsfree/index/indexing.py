"""Bring an index up to date: read what is new or has changed, and forget what is gone."""

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from itertools import islice
from multiprocessing import get_context
from pathlib import Path
from time import monotonic

from handsfree import __version__
from handsfree.index.folders import Place, mark_of, records_below
from handsfree.index.noting import Noting, Trust
from handsfree.index.rows import not_read
from handsfree.index.store import RowsUnfit, Store
from handsfree.index.tables import Row, Stands

# So many are put into the index at one stroke. A program that is ended loses no more work.
_AT_ONCE = 64
# Fewer are read here: to start other processes takes as long.
_WORTH_PROCESSES = 32
Watch = Callable[[int, int], None]
_Job = tuple[Place, str]


@dataclass(frozen=True, slots=True)
class Indexed:
    """What was found, and what had to be read."""

    records: int
    read: int
    gone: int
    not_followed: int
    seconds: float


def bring_up_to_date(store: Store, root: Path, trust: Trust, watch: Watch | None = None) -> Indexed:
    """Look at every record below `root`, and read those that are not noted as they are now.

    `watch` is told how many of how many were read. Raises OSError where the certificates of `trust`
    cannot be read.
    """
    began = monotonic()
    if store.told("made of") != made_of(root, trust):
        store.empty()
        store.tell("made of", made_of(root, trust))
    known = store.marks()
    found = records_below(root)
    jobs = [
        (place, mark)
        for place in found.places
        if (mark := mark_of(place.folder)) != known.get(place.id, ("",))[0]
        # Whether a program still writes it is told by a lock, which leaves no mark.
        or known[place.id][1] == Stands.BEING_WRITTEN.value
    ]
    gone = set(known) - {place.id for place in found.places}
    store.replace(sorted(gone), ())
    done = 0
    for batch in _batches(_noted(jobs, trust)):
        _put(store, jobs[done : done + len(batch)], batch)
        done += len(batch)
        if watch is not None:
            watch(done, len(jobs))
    return Indexed(
        records=len(found.places),
        read=len(jobs),
        gone=len(gone),
        not_followed=found.not_followed,
        seconds=monotonic() - began,
    )


def made_of(root: Path, trust: Trust) -> str:
    """What decides of every record what is noted of it: the version, the trust, and the folder."""
    return f"{__version__} {trust.mark} {os.fsencode(root.resolve()).hex()}"


def _put(store: Store, jobs: Sequence[_Job], noted: Sequence[tuple[Row, ...]]) -> None:
    """Put into the index what was noted; a record that it cannot hold is a row that says so."""
    try:
        store.replace([place.id for place, _ in jobs], [row for rows in noted for row in rows])
    except RowsUnfit as error:
        if len(jobs) > 1:
            for job, rows in zip(jobs, noted, strict=True):
                _put(store, [job], [rows])
            return
        [(place, mark)] = jobs
        store.replace([place.id], [not_read(place, mark, str(error))])


def _batches(noted: Iterator[tuple[Row, ...]]) -> Iterator[list[tuple[Row, ...]]]:
    while batch := list(islice(noted, _AT_ONCE)):
        yield batch


def _noted(jobs: Sequence[_Job], trust: Trust) -> Iterator[tuple[Row, ...]]:
    """The rows of each record in its turn, read by as many processes as there are cores."""
    processes = len(os.sched_getaffinity(0))
    if len(jobs) < _WORTH_PROCESSES or processes == 1:
        noting = Noting(trust)
        yield from (noting.note(place, mark) for place, mark in jobs)
        return
    done = 0
    while done < len(jobs):
        # Fresh processes: one that is copied would have a copy of the open index.
        with ProcessPoolExecutor(
            processes, get_context("spawn"), initializer=_begin, initargs=(trust,)
        ) as pool:
            try:
                for rows in pool.map(_note, jobs[done:], chunksize=4):
                    yield rows
                    done += 1
            except BrokenProcessPool:
                # A record that takes a whole process down, such as by its memory, is among those
                # in work. The first of them may be it: it is told so, and the rest is tried again.
                place, mark = jobs[done]
                yield (not_read(place, mark, _ENDED),)
                done += 1


_ENDED = "the process that read it was ended by the system; see it alone, by 'handsfree verify'"
_noting: Noting | None = None


def _begin(trust: Trust) -> None:
    global _noting
    _noting = Noting(trust)


def _note(job: _Job) -> tuple[Row, ...]:
    assert _noting is not None
    return _noting.note(*job)
