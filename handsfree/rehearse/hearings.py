"""Hearings from the cache, and those that are missing from whoever does the work."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence

from handsfree.fleet import Job, Runner
from handsfree.rehearse.cache import Cache, Kept, listened_for
from handsfree.rehearse.listening import Sounds, ToHear, hear
from handsfree.rehearse.plan import Scene
from handsfree.words.phrases import PhraseSet

# Enough for one saying at the usual ratios. More would keep one worker busy behind the others' end.
_MOST_TOGETHER = 4

Watch = Callable[[int], None]
"""Called with how many more were heard."""


class Hearings:
    """What is heard of scenes, each kept before it is told."""

    def __init__(
        self, cache: Cache, runner: Runner, sounds: Sounds, watch: Watch, *, anew: bool = False
    ) -> None:
        """`anew`: only what was heard with these very phrases counts from before."""
        self._cache = cache
        self._runner = runner
        self._sounds = sounds
        self._watch = watch
        self._anew = anew
        self.made = 0  # heard now, and not before

    def of(self, wanted: Sequence[tuple[Scene, PhraseSet]]) -> list[Kept]:
        """What is heard of each, in order. Raises what `hear` raises."""
        asked = [self._sounds.to_hear(scene, phrases) for scene, phrases in wanted]
        found: dict[tuple[str, str], Kept] = {}
        missing: dict[tuple[str, str], ToHear] = {}
        for each in asked:
            name = _name(each)
            if name in found or name in missing:
                continue
            kept = self._cache.find(each.key, each.scene.words, each.phrases, anew=self._anew)
            if kept is None:
                missing[name] = each
            else:
                found[name] = kept
        self._watch(len(asked) - len(missing))
        # The longest first, so that nobody waits long at the end for who began one last.
        waiting = sorted(together(missing.values()), key=len, reverse=True)
        for number, hearings in self._runner.results(Job(hear, each) for each in waiting):
            for given, heard in zip(waiting[number], hearings, strict=True):
                self._cache.keep(given.key, given.scene.words, given.phrases, heard)
                found[_name(given)] = Kept(heard, carried=False)
                self.made += 1
                self._watch(1)
        return [found[_name(each)] for each in asked]


def together(asked: Iterable[ToHear]) -> list[tuple[ToHear, ...]]:
    """Words that one voice says more than once, side by side, `_MOST_TOGETHER` at most."""
    said: dict[tuple[str, str], list[ToHear]] = defaultdict(list)
    for each in asked:
        said[each.scene.voice, each.scene.words].append(each)
    return [part for same in said.values() for part in _parts(same)]


def _parts(asked: list[ToHear]) -> Iterator[tuple[ToHear, ...]]:
    for at in range(0, len(asked), _MOST_TOGETHER):
        yield tuple(asked[at : at + _MOST_TOGETHER])


def _name(asked: ToHear) -> tuple[str, str]:
    return asked.key, listened_for(asked.phrases).whole
