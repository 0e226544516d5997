"""What was heard of each sound, kept by content: the same sound is heard by a model once.

A key tells voice, words, noise, ratio, seed and models; beside it stand the phrases that were
listened for. A hearing also counts for other phrases where the ones that differ have no part in it:
see `carries_over`. It is then marked as carried over.
"""

import json
import sqlite3
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import timedelta
from enum import Enum
from functools import cache, lru_cache
from hashlib import sha256
from pathlib import Path
from threading import Lock
from typing import Any

from handsfree.errors import Misuse
from handsfree.rehearse.pronunciations import pronunciations
from handsfree.rehearse.sound import stretch_apart
from handsfree.words.heard import Heard
from handsfree.words.phrases import Confirmation, Negations, PhraseSet

_FILE = "hearings.sqlite"
# A phrase is not taken for words from which it is farther than this share of its phones, at the
# nearest stretch. In the shipped tasks phrases that differ in one word are nearer than 0.4, and of
# all phrases and all that is said one pair in twenty is nearer to each other than 0.45. Judgement.
_FAR = 0.45
# From this score what was heard is beyond doubt. Of 124 such hearings none came to another result
# without a phrase that sounds alike; of 38 others two did: RESULTS.md, "Rehearsal of a task".
_SURE = 0.95


@dataclass(frozen=True, slots=True)
class Kept:
    """A hearing, and whether it was of another phrase set."""

    heard: Heard
    carried: bool


@dataclass(frozen=True, slots=True)
class Listened:
    """A phrase set as the cache knows it."""

    whole: str  # a hash
    fixed: frozenset[str]  # the phrases of the task
    rest: str  # a hash of all that is not a phrase of the task


@lru_cache(maxsize=1024)
def listened_for(phrases: PhraseSet) -> Listened:
    """What of `phrases` decides whether a hearing counts."""
    fixed = frozenset(each.phrase for each in phrases.phrases if isinstance(each, Confirmation))
    rest = [each for each in phrases.phrases if not isinstance(each, Confirmation | Negations)]
    return Listened(_hash(repr(phrases)), fixed, _hash(repr((rest, phrases.critical))))


def carries_over(before: frozenset[str], now: frozenset[str], said: str, heard: Heard) -> bool:
    """Whether a hearing among the phrases `before` counts among those of `now`.

    A phrase that was thought of, and came or went, may decide it. So may one that sounds like any
    stretch of what was said or heard, or has a word of it; but where just what was said was heard
    beyond doubt, one that went had no part in that, however it sounds. Of a word that nobody knows
    how to say nothing is known, so then it does not count.
    """
    taken = {heard.words, *heard.alternatives}
    if any(set(each.split()) <= set(words) for each in before ^ now for words in taken):
        return False
    sounded = {said, " ".join(heard.words)} - {""}
    beyond_doubt = heard.score >= _SURE and sounded == {said}
    changed = now - before if beyond_doubt else before ^ now
    return all(_sounds_unlike(each, words) for each in changed for words in sounded)


@lru_cache(maxsize=65536)
def _sounds_unlike(phrase: str, said: str) -> bool:
    if not set(phrase.split()).isdisjoint(said.split()):
        return False
    sounds = pronunciations(frozenset((*phrase.split(), *said.split())))
    apart = stretch_apart(phrase, said, sounds)
    return apart is not None and apart > _FAR


class Cache:
    """Hearings in one file of a folder; safe to use from several threads."""

    def __init__(self, folder: Path) -> None:
        """Begin it where it is not there yet; raises Misuse where it cannot be."""
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self._base = sqlite3.connect(folder / _FILE, check_same_thread=False, timeout=60)
            self._base.execute("PRAGMA journal_mode=WAL")
            # The file is sound whenever the power goes; the last hearings may have to be done anew,
            # which costs less than to wait for the disk behind each of them.
            self._base.execute("PRAGMA synchronous=NORMAL")
            self._base.execute(
                "CREATE TABLE IF NOT EXISTS heard (sound TEXT, whole TEXT, rest TEXT, fixed TEXT, "
                "said TEXT, value TEXT, PRIMARY KEY (sound, whole)) WITHOUT ROWID"
            )
            self._base.execute(
                "CREATE TABLE IF NOT EXISTS lasts (text TEXT PRIMARY KEY, seconds REAL)"
            )
        except (OSError, sqlite3.Error) as error:
            raise Misuse(
                f"{folder}: what is heard cannot be kept there ({error}). Name another folder with "
                "--cache."
            ) from error
        self._one_at_a_time = Lock()

    def find(self, sound: str, said: str, phrases: PhraseSet, *, anew: bool = False) -> Kept | None:
        """What was heard of `sound`; where it is to be heard `anew`, only by these very phrases."""
        now = listened_for(phrases)
        with self._one_at_a_time:
            rows = self._base.execute(
                "SELECT whole, fixed, value FROM heard WHERE sound = ? AND rest = ?",
                (sound, now.rest),
            ).fetchall()
        for whole, _, value in rows:
            if whole == now.whole:
                return Kept(_read(value), carried=False)
        for _, fixed, value in () if anew else rows:
            heard = _read(value)
            if carries_over(frozenset(json.loads(fixed)), now.fixed, said, heard):
                return Kept(heard, carried=True)
        return None

    def keep(self, sound: str, said: str, phrases: PhraseSet, heard: Heard) -> None:
        """Whoever ends this process, the hearing is in the file."""
        now = listened_for(phrases)
        row = (sound, now.whole, now.rest, json.dumps(sorted(now.fixed)), said, _written(heard))
        with self._one_at_a_time, self._base:
            self._base.execute("INSERT OR REPLACE INTO heard VALUES (?, ?, ?, ?, ?, ?)", row)

    def seconds_of(self, texts: Iterable[str]) -> dict[str, float]:
        """How long the voice takes for each of `texts` that is known."""
        with self._one_at_a_time:
            known = dict(self._base.execute("SELECT text, seconds FROM lasts").fetchall())
        return {each: known[each] for each in texts if each in known}

    def keep_seconds(self, seconds: dict[str, float]) -> None:
        """Keep how long the voice takes."""
        with self._one_at_a_time, self._base:
            self._base.executemany("INSERT OR REPLACE INTO lasts VALUES (?, ?)", seconds.items())

    def close(self) -> None:
        """Close the file."""
        with suppress(sqlite3.Error):
            self._base.close()


def usual_folder() -> Path:
    """Where the platform keeps what can be made again, such as ~/.cache/handsfree/rehearsal."""
    from platformdirs import user_cache_path

    return user_cache_path("handsfree", appauthor=False) / "rehearsal"


def _hash(text: str) -> str:
    return sha256(text.encode()).hexdigest()


def _written(heard: Heard) -> str:
    return json.dumps(asdict(heard), default=_plain)


def _plain(value: object) -> Any:
    match value:
        case timedelta():
            return value.total_seconds()
        case Enum():
            return value.value
    raise TypeError(type(value).__name__)


def _read(value: str) -> Heard:
    heard: Heard = _of_heard().validate_python(json.loads(value))
    return heard


@cache
def _of_heard() -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(Heard)
