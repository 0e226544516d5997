"""Memory that a process keeps for its next job, in place of giving it back after each.

A hearing takes and frees some hundred megabytes in pieces. The C library gives what is freed back
to the system, and the system hands it out again page by page: Dask has its workers do so from 64 kB
on, and then a worker spends a third of its time on that. What is kept instead is what one job takes
at most.
"""

import ctypes
from functools import cache

# Of mallopt(3), in glibc's malloc.h.
_TRIM_THRESHOLD, _TOP_PAD, _MMAP_MAX, _ARENA_MAX = -1, -2, -4, -8
_MEGABYTE = 2**20
_SETTINGS = {
    _TRIM_THRESHOLD: 1024 * _MEGABYTE,  # so much may lie free before any is given back
    _TOP_PAD: 64 * _MEGABYTE,  # and so much more is asked for at once
    _MMAP_MAX: 0,  # large pieces that are taken one by one, and go back as they are freed
    _ARENA_MAX: 1,  # memory that a thread has for itself, of which each free 64 MB go back
}


@cache
def keep_freed_memory() -> bool:
    """Keep it from now on; whether the C library of this process can be told to."""
    try:
        told = ctypes.CDLL(None).mallopt
    except (AttributeError, OSError, TypeError):
        return False  # another C library than glibc, which has its own ways
    return all([told(name, value) == 1 for name, value in _SETTINGS.items()])
