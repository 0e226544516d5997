"""What went wrong in a run: everything that a supervisor must not have to look for."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from enum import Enum

from handsfree.engine.entries import (
    AnsweredTooEarly,
    ChoiceMade,
    CountDiffers,
    DateRead,
    IdentityRead,
    InspectionRejected,
    NotActedOn,
    NotHeeded,
    PersonRefused,
    ReadingRefused,
    ReadingTaken,
    Replaced,
    StateDiffers,
    StatementsDiffer,
    StepBegun,
    StoodBy,
    TaskEnded,
    TimesVoid,
    WentBack,
    Withdrawn,
)
from handsfree.engine.events import HearingLost, VoiceLost
from handsfree.record.entries import LoggedEntry
from handsfree.record.marks import (
    Afterwards,
    NotHeard,
    Redacted,
    Resumed,
    Reviewed,
    ScreenLost,
    Stopped,
    TailCut,
)
from handsfree.task.limits.forms import Verdict
from handsfree.task.validity import DateVerdict
from handsfree.words.standard import StandardWord

# A clock that the network keeps is moved by less, a little at a time. Common practice, no source.
_CLOCK_TOLERANCE = timedelta(seconds=5)


class Kind(Enum):
    """What sort of thing it was; the value is how one and several are called."""

    VALUE = ("value refused", "values refused")
    TOOL = ("number, date or choice refused", "numbers, dates or choices refused")
    COUNT = ("count that differed", "counts that differed")
    DIFFERENT = ("read back that differed", "read backs that differed")
    CORRECTION = ("correction", "corrections")
    DOUBTFUL = ("doubtful hearing", "doubtful hearings")
    IGNORED = ("utterance not acted on", "utterances not acted on")
    UNHEARD = ("sound not taken", "sounds not taken")
    UNDONE = ("going back", "goings back")
    REJECTED = ("inspection rejected", "inspections rejected")
    PERSON = ("person refused", "persons refused")
    STATE = ("state found otherwise", "states found otherwise")
    TIME = ("time not kept", "times not kept")
    UNABLE = ("step that could not be done", "steps that could not be done")
    INTERRUPTION = ("interruption", "interruptions")
    KILLED = ("program killed", "programs killed")
    CUT = ("line cut half written", "lines cut half written")
    RESUMED = ("resumption", "resumptions")
    CLOCK = ("step of the clock", "steps of the clock")
    REDACTION = ("redaction", "redactions")


@dataclass(frozen=True, slots=True)
class Mishap:
    """One thing that went wrong."""

    entry: int
    utc: str
    kind: Kind
    what: str


def mishaps(entries: Iterable[LoggedEntry]) -> tuple[Mishap, ...]:
    """All of them in their order; raises EntryUnreadable."""
    watching = _Watching()
    return tuple(found for entry in entries for found in watching.take_in(entry, entry.value))


@dataclass(slots=True)
class _Watching:
    step: str = ""  # where the run is
    ended: bool = True  # the program that wrote before ended as it should
    before: LoggedEntry | None = None
    finished: bool = False

    def take_in(self, entry: LoggedEntry, value: object) -> Iterator[Mishap]:
        """What is wrong with one more entry."""
        told = [*self._of_the_clock(entry, value), *self._of_the_program(value)]
        told += _told(value, self.step)
        if isinstance(value, Resumed):
            told.append((Kind.RESUMED, f"{value.step}: gone on {self._how(entry, value)}"))
        if isinstance(value, StepBegun):
            self.step = value.step
        self.before = entry
        yield from (Mishap(entry.seq, entry.utc, kind, what) for kind, what in told)

    def _how(self, entry: LoggedEntry, resumed: Resumed) -> str:
        who = "without a key" if resumed.by is None else f"with the key of {resumed.by}"
        if self.before is None:
            return who
        away = timedelta(seconds=round((entry.at - self.before.at).total_seconds()))
        return f"{who}, {away} h later"

    def _of_the_clock(self, entry: LoggedEntry, value: object) -> "_Told":
        """Where the clock on the wall and the running time do not go together.

        Running time stands still between two programs, so there the clock may only go forward.
        """
        if self.before is None:
            return []
        passed = entry.at - self.before.at
        is_between = isinstance(value, Resumed | Afterwards)
        ahead = passed - (entry.offset - self.before.offset)
        if passed < timedelta(0) or (abs(ahead) > _CLOCK_TOLERANCE and not is_between):
            way = "back" if ahead < timedelta(0) else "forward"
            what = f"set {way} by {abs(ahead)}, from {self.before.utc} to {entry.utc}"
            return [(Kind.CLOCK, what)]
        return []

    def _of_the_program(self, value: object) -> "_Told":
        """A program that wrote no end was killed, or the power went."""
        match value:
            case Stopped():
                self.ended = True
            case TaskEnded():
                self.finished = True
            case TailCut() | Redacted() | Reviewed():
                pass
            case Resumed() if not self.ended and not self.finished:
                return [(Kind.KILLED, "it wrote no end; what was acknowledged is kept")]
            case _:
                self.ended = False
        return []


_Told = list[tuple[Kind, str]]


def _told(value: object, step: str) -> _Told:
    """What is wrong with one decision or event; `step` is where the run is."""
    match value:
        case ReadingTaken(at, number, unit, verdict=verdict, corrects=corrects):
            told: _Told = []
            if corrects:
                told.append((Kind.CORRECTION, f"{at}: the value was said anew, {number:f} {unit}"))
            if verdict is not Verdict.INSIDE:
                told.append((Kind.VALUE, f"{at}: {number:f} {unit}, {verdict.value}"))
            return told
        case ReadingRefused(at, figures, unit, why):
            return [(Kind.VALUE, f"{at}: {' '.join(filter(None, (figures, unit)))}, {why}")]
        case Replaced(at, figures, unit):
            said = " ".join(filter(None, (figures, unit)))
            return [(Kind.CORRECTION, f"{at}: {said} was replaced in the same utterance")]
        case Withdrawn(at):
            return [(Kind.CORRECTION, f"{at}: the value was taken back")]
        case IdentityRead(at, characters, False, why):
            return [(Kind.TOOL, f"{at}: {characters}, {why or 'it is not one that is accepted'}")]
        case DateRead(at, said, verdict) if verdict is not DateVerdict.IN_DATE:
            return [(Kind.TOOL, f"{at}: {said}, {verdict.value}")]
        case ChoiceMade(at, choice, False):
            return [(Kind.TOOL, f"{at}: {choice}")]
        case CountDiffers(at, item, out, counted):
            return [(Kind.COUNT, f"{at}: {item}, {counted} counted in of {out} that were out")]
        case StatementsDiffer(at, first, second):
            return [(Kind.DIFFERENT, f"{at}: one read {first}, the other {second}")]
        case WentBack(at, undone):
            return [(Kind.UNDONE, f"to {at}, undone: {', '.join(undone) or 'nothing'}")]
        case InspectionRejected(at, by):
            return [(Kind.REJECTED, f"{at}: by {by}")]
        case NotHeeded(at, words, reason) if reason is not NotActedOn.STANDING_BY:
            kind = Kind.DOUBTFUL if reason is NotActedOn.DOUBTFUL else Kind.IGNORED
            return [(kind, f"{at}: '{' '.join(words)}', {reason.value}")]
    return _befallen(value, step)


def _befallen(value: object, step: str) -> _Told:
    match value:
        case PersonRefused(role, number, why):
            return [(Kind.PERSON, f"{number} as {role.value}: {why}")]
        case StateDiffers(state, recorded):
            return [(Kind.STATE, f"{state}: recorded as {recorded}, found otherwise")]
        case AnsweredTooEarly(at, words):
            return [(Kind.TIME, f"{at}: '{words}' came too early, and was asked for again")]
        case TimesVoid(steps):
            return [(Kind.TIME, f"{', '.join(steps)}: the time was not measured to its end")]
        case StoodBy(at, StandardWord.UNABLE.value):
            return [(Kind.UNABLE, f"{at}: a finding was opened")]
        case StoodBy(at, why):
            return [(Kind.INTERRUPTION, f"{at}: {why}")]
        case HearingLost(why):
            return [(Kind.INTERRUPTION, f"{step}: hearing was lost, {why}")]
        case VoiceLost(why):
            return [(Kind.INTERRUPTION, f"{step}: the voice was lost, {why}")]
        case ScreenLost(why):
            return [(Kind.INTERRUPTION, f"{step}: the screen was lost, {why}")]
        case Stopped(at, why):
            return [(Kind.INTERRUPTION, f"{at}: the program ended, {why}")]
        case NotHeard(source, problem):
            return [(Kind.UNHEARD, f"{source}: {problem}")]
        case TailCut(size):
            return [(Kind.CUT, f"{size} bytes that were never acknowledged")]
        case Redacted(clips, by, why):
            told = f"the sound of {len(clips)} clips was removed by {by or 'nobody named'}: {why}"
            return [(Kind.REDACTION, told)]
    return []
