"""Who said each utterance, as far as the record tells, and how it reached the tool.

Nobody is told by their voice. A person is known by what the record made of their words (a staff
number that was affirmed, a value with its speaker), else by the headset, else by "second" before a
value; what is left is the technician's, who leads the conversation.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from handsfree.engine.entries import (
    FindingClosed,
    FirstStated,
    HandedOver,
    InspectionPassed,
    InspectionRejected,
    PersonIdentified,
    PersonRefused,
    Remarked,
    SecondStated,
)
from handsfree.engine.events import TakenUp
from handsfree.record.entries import EVENTS, LoggedEntry
from handsfree.record.marks import RecordOpened, Resumed, Way
from handsfree.task.roles import Headset, Role, role_of
from handsfree.words.heard import Heard

_HEADSETS = frozenset(each.source for each in Headset)


@dataclass(frozen=True, slots=True)
class Speaker:
    """Who said something."""

    role: Role
    staff_number: str | None = None  # None: nobody was identified
    name: str | None = None

    def __str__(self) -> str:
        if self.staff_number is None:
            return self.role.value
        return f"{self.name} ({self.staff_number}), {self.role.value}"

    @property
    def person(self) -> str:
        """Name and staff number; the role where nobody was identified."""
        return (
            self.role.value if self.staff_number is None else f"{self.name} ({self.staff_number})"
        )


@dataclass(slots=True)
class Crew:
    """Who is present in which role, as the record tells it entry by entry."""

    present: Mapping[Role, Speaker] = field(default_factory=dict)
    _names: dict[str, str] = field(default_factory=dict)
    _came: tuple[Role, Speaker | None] | None = None  # the last role taken, and who had it before

    def take_in(self, value: object) -> None:
        """What one entry or event changes."""
        match value:
            case TakenUp() | HandedOver():
                self.present = {}
            case PersonIdentified(role, number, name):
                self._names[number] = name
                self._came = (role, self.present.get(role))
                self.present = {**self.present, role: Speaker(role, number, name)}
            case FindingClosed() if self._came is not None:
                # Who came only to close a finding takes nobody's place.
                role, had = self._came
                others = {each: who for each, who in self.present.items() if each is not role}
                self.present = others if had is None else {**others, role: had}
                self._came = None

    def in_role(self, role: Role) -> Speaker:
        """Who has this role now."""
        return self.present.get(role, Speaker(role))

    @property
    def last_come(self) -> Speaker:
        """Who was identified last."""
        return self.in_role(Role.TECHNICIAN if self._came is None else self._came[0])

    def known(self, role: Role, number: str | None) -> Speaker:
        """The person of a staff number that an entry names."""
        if number is None:
            return Speaker(role)
        return Speaker(role, number, self._names.get(number, "not on the record"))


@dataclass(frozen=True, slots=True)
class Utterer:
    """Who said the words of one entry, and how they came."""

    speaker: Speaker
    way: Way
    source: str


def utterers(entries: Iterable[LoggedEntry]) -> dict[int, Utterer]:
    """Who said each utterance, by the number of its entry; raises EntryUnreadable."""
    found: dict[int, Utterer] = {}
    crew = Crew()
    said: int | None = None  # the entry that the decisions which follow are about
    before: int | None = None  # what was heard before that
    last: int | None = None
    told: Way | None = None  # how the program says that it hears
    for entry in entries:
        crew.take_in(entry.value)
        match entry.value:
            case RecordOpened(heard=told) | Resumed(heard=told):
                pass
            case Heard() as heard:
                said, before, last = entry.seq, last, entry.seq
                speaker = crew.in_role(_role_by_ear(heard))
                found[said] = Utterer(speaker, _way_of(entry, told), entry.source or "")
            case _ if entry.kind in EVENTS:
                said = None
            case PersonIdentified(role=role):
                _ascribe(found, before, crew.in_role(role))  # the number, which is affirmed now
                _ascribe(found, said, crew.in_role(role))
            case PersonRefused(role=role):
                _ascribe(found, said, Speaker(role))
            case FirstStated(by=by):
                _ascribe(found, said, crew.known(Role.TECHNICIAN, by))
            case SecondStated(by=by):
                _ascribe(found, said, crew.known(Role.SECOND_PERSON, by))
            case InspectionPassed(by=by) | InspectionRejected(by=by):
                _ascribe(found, said, crew.known(Role.INSPECTOR, by))
            case Remarked(about="closed"):
                _ascribe(found, said, crew.last_come)
            case Remarked(about="rejected") if Role.INSPECTOR in crew.present:
                _ascribe(found, said, crew.in_role(Role.INSPECTOR))
    return found


def _way_of(entry: LoggedEntry, told: Way | None) -> Way:
    """Where no sound was kept, it was typed; older records do not tell how they heard."""
    if entry.clip is None:
        return Way.TYPED
    if told in (Way.VOICE, Way.CLIP):
        return told
    return Way.VOICE if entry.source in _HEADSETS else Way.CLIP


def _role_by_ear(heard: Heard) -> Role:
    if heard.channel is not None:
        return role_of(heard.channel) or Role.TECHNICIAN
    return Role.SECOND_PERSON if heard.words[:1] == ("second",) else Role.TECHNICIAN


def _ascribe(found: dict[int, Utterer], said: int | None, speaker: Speaker) -> None:
    if said is not None:
        found[said] = Utterer(speaker, found[said].way, found[said].source)
