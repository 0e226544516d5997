"""Accepted part and serial numbers that one mishearing makes of each other."""

from itertools import permutations

from handsfree.task.checks.confusable import Sounds
from handsfree.task.expectations import IdentityExpected
from handsfree.task.model import Task
from handsfree.task.source import Path
from handsfree.words.number_words import USUAL_DIGIT_WORDS
from handsfree.words.sounds import LEAST_DISTANCE, nearest


def identities_alike(
    task: Task, sounds: Sounds
) -> tuple[tuple[Path, str, str, tuple[str, str]], ...]:
    """Each two accepted identities that differ in one character, whose names sound alike.

    With the path of the later one, and the words that are taken for each other. Only figures are
    compared: the words for letters were chosen to be far apart (ICAO Annex 10 Vol II, figure 5-1).
    A figure is compared as it is usually said, for "nine" is heard everywhere in place of "niner".
    """
    near = _figures_alike(sounds)
    seen: dict[tuple[int, str, str], list[tuple[str, str]]] = {}
    found: dict[tuple[str, str], tuple[Path, str, str, tuple[str, str]]] = {}
    for at, step in enumerate(task.steps):
        if not isinstance(step.expect, IdentityExpected):
            continue
        for identity in step.expect.accept:
            said = identity.replace("-", "")
            for place, character in enumerate(said):
                key = (place, said[:place], said[place + 1 :])
                for other, before in seen.setdefault(key, []):
                    words = near.get((before, character))
                    if words is not None and (other, identity) not in found:
                        path: Path = ("steps", at, "expect", "accept")
                        found[other, identity] = (path, other, identity, words)
                if (identity, character) not in seen[key]:
                    seen[key].append((identity, character))
    return tuple(found.values())


def _figures_alike(sounds: Sounds) -> dict[tuple[str, str], tuple[str, str]]:
    """The words of each two figures that sound alike."""
    return {
        (one, other): (mine, yours)
        for (one, mine), (other, yours) in permutations(USUAL_DIGIT_WORDS.items(), 2)
        if nearest(sounds[mine], sounds[yours]) < LEAST_DISTANCE
    }
