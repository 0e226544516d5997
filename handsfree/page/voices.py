"""Whether two roles of a record sound like one person: a hint for who looks, never a verdict.

One person with two headsets and two staff numbers can be two people to the tool. Here the voices of
the roles are compared. What tells a voice from others is biometric data: it is computed when a page
is made, and what is left of it is one ratio for each pair of roles.
"""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from handsfree.engine.entries import NotHeeded
from handsfree.errors import HandsfreeError
from handsfree.page.sounds import Decoding
from handsfree.record.entries import EVENTS, LoggedEntry
from handsfree.record.marks import Way
from handsfree.record.speakers import Speaker, Utterer
from handsfree.words.heard import Heard

if TYPE_CHECKING:
    from handsfree.hearing.audio import Samples

MOST_CLIPS = 8
"""Of each role, the longest: more tell little more, and take their time."""
MOST_ROLES = 12
"""Those who said the most. A shift of work has three or four; a record can make up any number."""
SAYS = 10.0
"""From this ratio on, either way, it is said in words. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two roles, and how alike they sound."""

    one: str
    other: str
    entry: int  # where the one who came later is first heard
    clips: int  # of each, at least
    ratio: float  # how many times as likely with one person as with two

    @property
    def ratio_told(self) -> str:
        """Such as "40 : 1"."""
        return f"{self.ratio:.0f} : 1" if self.ratio >= 1 else f"1 : {1 / self.ratio:.0f}"

    @property
    def sounds_like_one(self) -> bool:
        """Whether it is worth a look."""
        return self.ratio >= SAYS

    @property
    def in_words(self) -> str:
        """For somebody who knows no ratios."""
        times = f"{max(self.ratio, 1 / self.ratio):.0f} times as likely"
        if self.sounds_like_one:
            return f"sound like one person: {times} if it was one as if they were two"
        if self.ratio <= 1 / SAYS:
            return f"sound like two people: {times} if they were two as if it was one"
        return "cannot be told apart or together by their sound"


@dataclass(frozen=True, slots=True)
class Voices:
    """All pairs of roles, the most alike first."""

    pairs: tuple[Pair, ...]
    why_not: str = ""  # there is none
    left_out: int = 0  # roles that were not compared


def compare_voices(
    entries: Sequence[LoggedEntry],
    said_by: Mapping[int, Utterer],
    sounds: Mapping[str, bytes],
) -> Voices:
    """The voices of the roles, from clips by their SHA-256; what cannot be compared says why."""
    roles = Counter(each.speaker for each in said_by.values() if each.way is not Way.TYPED)
    compared = {who for who, _ in roles.most_common(MOST_ROLES)}
    clips = _clips_of(entries, said_by, sounds, compared)
    if len(clips) < 2:
        return Voices((), "there is sound of fewer than two roles")
    try:
        return Voices(tuple(_pairs(clips)), left_out=len(roles) - len(compared))
    except HandsfreeError as error:
        return Voices((), str(error))


def _pairs(clips: "Mapping[Speaker, _Clips]") -> Sequence[Pair]:
    from handsfree.hearing.likeness.embedding import VoiceNetwork, mean_of
    from handsfree.hearing.likeness.ratio import ratio

    network = VoiceNetwork()
    voices = {
        who: mean_of([network.voice_in(each) for each in own.longest]) for who, own in clips.items()
    }
    found = []
    for one, other in combinations(clips, 2):
        if _are_told_as_one(one, other):
            continue
        count = min(len(clips[one].longest), len(clips[other].longest))
        cosine = float(voices[one] @ voices[other])
        entry = max(clips[one].first, clips[other].first)
        found.append(Pair(str(one), str(other), entry, count, ratio(cosine, count)))
    return sorted(found, key=lambda each: -each.ratio)


def _are_told_as_one(one: Speaker, other: Speaker) -> bool:
    """Whether the record itself has them as one person, or as one who was not named at first."""
    if one.staff_number is None or other.staff_number is None:
        return one.role is other.role
    return one.staff_number == other.staff_number


@dataclass(frozen=True, slots=True)
class _Clips:
    first: int  # the first entry with one of them
    longest: "Sequence[Samples]"


def _clips_of(
    entries: Sequence[LoggedEntry],
    said_by: Mapping[int, Utterer],
    sounds: Mapping[str, bytes],
    compared: Collection[Speaker],
) -> "dict[Speaker, _Clips]":
    """Of each role the longest clips that were understood: others may hold no voice, or two."""
    from handsfree.hearing.likeness.embedding import LEAST_SAMPLES

    ignored, decoding = _not_heeded(entries), Decoding()
    found: dict[Speaker, dict[str, Samples]] = {}
    first: dict[Speaker, int] = {}
    for each in entries:
        if not isinstance(each.value, Heard) or each.clip is None or each.seq in ignored:
            continue
        by = said_by[each.seq]
        is_voice = by.way is not Way.TYPED and by.speaker in compared
        if each.value.words and is_voice and each.clip in sounds:
            samples = decoding.samples(sounds[each.clip])
            if samples is not None and len(samples) >= LEAST_SAMPLES:
                own = found.setdefault(by.speaker, {})
                own[each.clip] = samples
                if len(own) > MOST_CLIPS:  # decoded, all of them would fill the memory
                    del own[min(own, key=lambda clip: len(own[clip]))]
                first.setdefault(by.speaker, each.seq)
    return {who: _Clips(first[who], list(own.values())) for who, own in found.items()}


def _not_heeded(entries: Sequence[LoggedEntry]) -> set[int]:
    found: set[int] = set()
    heard: int | None = None
    for each in entries:
        if each.kind in EVENTS:
            heard = each.seq if isinstance(each.value, Heard) else None
        elif isinstance(each.value, NotHeeded) and heard is not None:
            found.add(heard)
    return found
