"""A folder of records with its index, while it is served: looked at again and again."""

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Self

from handsfree.index.indexing import Indexed, Watch, bring_up_to_date
from handsfree.index.noting import Trust
from handsfree.index.store import Cursor, Store

# What is found is behind the records by no more than this and the time to read what is new.
LOOK_AGAIN_S = 60.0
_diagnostics = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Looked:
    """When the folder was looked at last, and what was found."""

    at: datetime  # by the clock on the wall
    indexed: Indexed


class Collection:
    """Records, and the index of them."""

    def __init__(
        self,
        root: Path,
        store: Store,
        trust: Trust,
        now: Callable[[], datetime],
        with_voices: bool = True,
    ) -> None:
        """`with_voices` compares the voices of the roles when the page of a record is opened."""
        self.root = root
        self.trust = trust
        self.with_voices = with_voices
        self._store = store
        self._now = now
        self._ends = threading.Event()
        self._looking = threading.Lock()  # one at a time: the index has one writer
        self._keeper: threading.Thread | None = None
        self.looked: Looked | None = None

    def look(self, watch: Watch | None = None) -> Indexed:
        """Bring the index up to date; raises OSError, see `bring_up_to_date`."""
        with self._looking:
            indexed = bring_up_to_date(self._store, self.root, self.trust, watch)
            self.looked = Looked(self._now(), indexed)
        return indexed

    def ask(self) -> Cursor:
        """To ask the index with."""
        return self._store.cursor()

    def keep_looking(self) -> None:
        """Look again each minute, until this is closed."""
        self._keeper = threading.Thread(target=self._keep, name="index", daemon=True)
        self._keeper.start()

    def _keep(self) -> None:
        while not self._ends.wait(LOOK_AGAIN_S):
            try:
                self.look()
            except Exception:  # such as a disk that has gone: the pages tell how old they are
                _diagnostics.exception("the folder could not be looked at")

    def close(self) -> None:
        """Look no more. The index stays open: whoever opened it closes it."""
        self._ends.set()
        if self._keeper is not None:
            self._keeper.join()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()
