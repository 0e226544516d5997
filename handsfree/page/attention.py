"""What a supervisor must look at in a record, worst first.

Most of it is what `record.mishaps` finds. To that comes what went well by the rules and still asks
for eyes: a value close to its limit, a hearing that was only just believed, an answer that came too
fast to be looked at. How close and how fast are judgements; each stands below with its reason.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import IntEnum
from fractions import Fraction

from handsfree.engine.effects import Say
from handsfree.engine.entries import (
    FirstStated,
    NotHeeded,
    ReadingTaken,
    SecondStated,
    StepConfirmed,
)
from handsfree.engine.events import Spoken
from handsfree.page.voices import Pair
from handsfree.page.waits import waits
from handsfree.record.entries import DECISIONS, LoggedEntry
from handsfree.record.mishaps import Kind
from handsfree.record.passes import End, Pass
from handsfree.record.speakers import Utterer
from handsfree.record.summary import Summary
from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.forms import Verdict
from handsfree.task.model import Task
from handsfree.words.heard import Heard

# A value so near to a limit that a gauge read a little wrong would be outside. Common practice, no
# source: one step of the scale, or this share of the way between the limits.
NEAR = Fraction(2, 100)
# An answer is acted on from a score of 0.8; of these the lower half asks to be listened to. Words
# that only repeat or ask, which are believed far sooner, put nothing on the record.
BARELY_BELIEVED = 0.9
# To find a gauge, read it and say its figures takes longer. Common practice, no source.
FASTEST_READING = timedelta(seconds=3)
# No work can be done between the last word of the instruction and an answer that comes so fast.
FASTEST_WORK = timedelta(seconds=1)
MOST_OF_A_KIND = 3  # of what was too fast, one by one


class Weight(IntEnum):
    """How much it matters, worst first."""

    WRONG = 0  # something is or was not as it must be
    DOUBTFUL = 1  # it may not be as the record says
    NOTED = 2  # it was dealt with at once, or only delayed the work


@dataclass(frozen=True, slots=True)
class Attention:
    """One thing to look at."""

    weight: Weight
    entry: int  # of the log
    at: datetime  # UTC
    who: str  # whose words it was about; "" where nobody said anything
    what: str  # in a word or two
    why: str
    clip: str | None  # SHA-256 of the sound


_WEIGHTS = {
    **dict.fromkeys(
        (
            Kind.VALUE,
            Kind.STATE,
            Kind.COUNT,
            Kind.REJECTED,
            Kind.UNABLE,
            Kind.KILLED,
            Kind.CLOCK,
            Kind.REDACTION,
            Kind.DIFFERENT,
            Kind.TIME,
        ),
        Weight.WRONG,
    ),
    **dict.fromkeys(
        (Kind.TOOL, Kind.CORRECTION, Kind.UNDONE, Kind.PERSON, Kind.CUT, Kind.RESUMED),
        Weight.DOUBTFUL,
    ),
}


def weight_of(kind: Kind) -> Weight:
    """How much a mishap matters."""
    return _WEIGHTS.get(kind, Weight.NOTED)


def attention(
    summary: Summary,
    entries: Sequence[LoggedEntry],
    said_by: Mapping[int, Utterer],
    voices: Iterable[Pair] = (),
) -> tuple[Attention, ...]:
    """All of it, worst first and then in the order of the run; raises EntryUnreadable.

    `voices` are pairs of roles whose voices were compared.
    """
    heard = _Heard(entries, said_by)
    stood = {each.entry: f"{each.step}: {each.told}" for each in waits(entries)}
    found = [
        heard.about(
            weight_of(each.kind), each.entry, each.kind.value[0], stood.get(each.entry, each.what)
        )
        for each in summary.mishaps
    ]
    found += _not_as_decided(summary, heard)
    found += _own_judges(summary, heard)
    found += _ends(summary, heard)
    found += _close_to_a_limit(summary, heard)
    found += _barely_believed(entries, heard)
    found += _few(_too_fast(entries, heard))
    found += [
        heard.about(
            Weight.DOUBTFUL, each.entry, "voices", f"{each.one}, and {each.other}, {each.in_words}"
        )
        for each in voices
        if each.sounds_like_one
    ]
    return tuple(sorted(found, key=lambda each: (each.weight, each.entry)))


class _Heard:
    """Who spoke last before an entry, and the sound of it."""

    def __init__(self, entries: Sequence[LoggedEntry], said_by: Mapping[int, Utterer]) -> None:
        self._entries = {each.seq: each for each in entries}
        self._said_by = said_by

    def about(self, weight: Weight, entry: int, what: str, why: str) -> Attention:
        """Something at this entry, with the utterance that led to it."""
        at = self._entries[entry].at
        last = max((seq for seq in self._said_by if seq <= entry), default=None)
        if last is None or not self._led_to(last, entry):
            return Attention(weight, entry, at, "", what, why, None)
        who = self._said_by[last].speaker
        return Attention(weight, entry, at, str(who), what, why, self._entries[last].clip)

    def _led_to(self, heard: int, entry: int) -> bool:
        """Whether nothing else happened between the utterance and what was decided."""
        between = (
            self._entries[seq] for seq in range(heard + 1, entry + 1) if seq in self._entries
        )
        return not any(isinstance(each.value, Spoken) for each in between)


def _not_as_decided(summary: Summary, heard: "_Heard") -> Iterator[Attention]:
    """Decisions that the engine would not have taken so."""
    if summary.differences:
        many = "a decision" if summary.differences == 1 else f"{summary.differences} decisions"
        why = f"a replay decides otherwise in {many}; 'handsfree replay' shows both side by side"
        yield heard.about(Weight.WRONG, summary.differs_at or 0, "replay that differs", why)


def _own_judges(summary: Summary, heard: "_Heard") -> Iterator[Attention]:
    for each in summary.verified.reviews:
        if each.is_theirs and each.took_part:
            why = f"{each.by} {each.verdict} it: {', '.join(each.took_part)}"
            yield heard.about(Weight.WRONG, each.entry, "judge of their own work", why)


def _ends(summary: Summary, heard: _Heard) -> Iterator[Attention]:
    """Steps that are not done, or were done more than once."""
    again = set(summary.standing.again)
    for each in summary.passes:
        if each.end is End.DEFERRED and not each.undone:
            why = f"{each.step}: not done, deferred by {each.outcome}"
            yield heard.about(Weight.WRONG, each.last_entry, "deferral", why)
        elif each.end is End.DONE and not each.undone and each.step in again:
            again.discard(each.step)
            why = f"{each.step}: it was gone through more than once"
            yield heard.about(Weight.DOUBTFUL, each.last_entry, "step done again", why)


def _close_to_a_limit(summary: Summary, heard: _Heard) -> Iterator[Attention]:
    for each in summary.passes:
        taken = each.taken
        if not each.holds or not isinstance(taken, ReadingTaken):
            continue
        if taken.verdict is Verdict.INSIDE and is_close(summary.task, each, taken):
            why = f"{each.step}: {taken.value:f} {taken.unit} is inside, and close to a limit"
            yield heard.about(Weight.DOUBTFUL, each.last_entry, "close to a limit", why)


def is_close(task: Task, passed: Pass, taken: ReadingTaken) -> bool:
    """Whether the value is within a step of the scale, or `NEAR` of the width, of a limit."""
    at = task.index_of.get(passed.step)
    expected = None if at is None else task.steps[at].expect
    step = Fraction(expected.resolution) if isinstance(expected, ReadingExpected) else Fraction(0)
    limits = [Fraction(each) for each in (taken.lowest, taken.highest) if each is not None]
    if len(set(limits)) < len(limits):
        return False  # one value only is right, as of a count: there is no being close to it
    width = NEAR * (max(limits) - min(limits)) if len(limits) > 1 else Fraction(0)
    return any(abs(Fraction(taken.value) - limit) <= max(step, width) for limit in limits)


def _barely_believed(entries: Iterable[LoggedEntry], heard: _Heard) -> Iterator[Attention]:
    """Hearings that were acted on with a score that was only just enough."""
    waiting: LoggedEntry | None = None
    for each in entries:
        match each.value:
            case Heard(score=score):
                waiting = each if score < BARELY_BELIEVED else None
            case NotHeeded():
                waiting = None
            case Say():
                pass
            case _ if waiting is not None and each.kind in DECISIONS:
                yield _barely(waiting, heard)
                waiting = None


def _barely(entry: LoggedEntry, heard: _Heard) -> Attention:
    said = entry.value
    assert isinstance(said, Heard)
    why = f"'{' '.join(said.words)}' was acted on with a score of {said.score:.2f}"
    return heard.about(Weight.DOUBTFUL, entry.seq, "only just believed", why)


def _too_fast(entries: Iterable[LoggedEntry], heard: _Heard) -> Iterator[Attention]:
    """Second readings and confirmations that came before anybody could have looked."""
    listening_since: timedelta | None = None
    said: Heard | None = None
    first: Heard | None = None
    for each in entries:
        match each.value:
            case Spoken():
                listening_since = each.offset
            case Heard() as said:
                pass
            case FirstStated():
                first = said
            case SecondStated(step=step) if first is not None and said is not None:
                gap = said.started - first.ended
                if gap < FASTEST_READING:
                    why = f"{step}: the second reading began {_seconds(gap)} after the first"
                    yield heard.about(Weight.DOUBTFUL, each.seq, "fast read back", why)
            case StepConfirmed(step=step, words=words) if said is not None and words != "affirm":
                gap = said.started - (listening_since or said.started)
                if listening_since is not None and gap < FASTEST_WORK:
                    why = f"{step}: confirmed {_seconds(gap)} after the instruction was spoken"
                    yield heard.about(Weight.DOUBTFUL, each.seq, "fast confirmation", why)


def _few(found: Iterable[Attention]) -> Iterator[Attention]:
    """Each kind one by one, but a kind that comes again and again as one: it is how they work."""
    kinds: dict[str, list[Attention]] = {}
    for each in found:
        kinds.setdefault(each.what, []).append(each)
    for what, same in kinds.items():
        if len(same) <= MOST_OF_A_KIND:
            yield from same
            continue
        steps = ", ".join(each.why.partition(":")[0] for each in same)
        yield replace(same[0], what=f"{what}, {len(same)} times", why=f"from here on: {steps}")


def _seconds(time: timedelta) -> str:
    return f"{max(time.total_seconds(), 0.0):.1f} s"
