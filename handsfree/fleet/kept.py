"""Results that are kept in a folder, by what they were computed from."""

from collections import deque
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Generic

import msgspec

from handsfree.files.plain import plain_bytes
from handsfree.files.whole import replace_file
from handsfree.fleet.job import Found, Given, Job
from handsfree.fleet.runner import Runner


class Kept(Generic[Found]):
    """A folder of results of one type, which msgspec must be able to write as JSON."""

    def __init__(self, folder: Path, found: type[Found]) -> None:
        """`folder` is made when the first result is kept."""
        self._folder = folder
        self._found = found

    def results(
        self, runner: Runner, jobs: Iterable[Job[Given, Found]]
    ) -> Iterator[tuple[int, Found]]:
        """As `Runner.results`: those that are kept are not done again.

        Each is on the disk before it is told, so that whoever is interrupted goes on from there.
        Raises OSError where the folder cannot be written.
        """
        known: deque[tuple[int, Found]] = deque()
        missing: list[tuple[int, str]] = []

        def unknown() -> Iterator[Job[Given, Found]]:
            for number, job in enumerate(jobs):
                key = job.key
                result = self.get(key)
                if result is not None:
                    known.append((number, result))
                    continue
                missing.append((number, key))
                yield job

        for at, found in runner.results(unknown()):
            number, key = missing[at]
            self.put(key, found)
            while known:
                yield known.popleft()
            yield number, found
        yield from known

    def get(self, key: str) -> Found | None:
        """The result of that key; None where there is none, or none that can be read."""
        try:
            return msgspec.json.decode(plain_bytes(self._path(key)), type=self._found)
        except (OSError, msgspec.DecodeError, UnicodeDecodeError):
            return None

    def put(self, key: str, found: Found) -> None:
        """Keep a result; raises OSError."""
        path = self._path(key)
        path.parent.mkdir(parents=True, exist_ok=True)
        replace_file(path, msgspec.json.encode(found))

    def _path(self, key: str) -> Path:
        # Two levels, for no folder of some file systems holds many files quickly.
        return self._folder / key[:2] / f"{key}.json"
