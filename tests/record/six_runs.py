"""Six runs of one task that a supervisor must be able to tell apart. All of it is invented."""

from collections.abc import Callable, Iterable
from contextlib import suppress
from datetime import datetime, timedelta, timezone
from io import StringIO
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from handsfree.record import Circumstances, Record
from handsfree.record.chain import read_chain
from handsfree.record.entries import read_entries
from handsfree.record.keys import Keys
from handsfree.record.marks import Way
from handsfree.record.replay import left_off, replay
from handsfree.record.summary import Summary, summarise
from handsfree.record.verify import verify
from handsfree.running.ears import KeyboardEar
from handsfree.running.loop import run
from handsfree.running.parts import Ear, Utterance
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet
from tests.engine.people_task import (
    ADA,
    AGREED,
    INSPECTED,
    PEOPLE,
    SEFA,
    TASK,
    TO_COVER,
    TO_END,
    TO_LOCK,
    TO_PRESSURE,
    TO_TORQUE,
    VALVE,
)
from tests.record.runs import KEYS, NoScreen, NoSync, Voice, sound

START = datetime(2031, 5, 4, 22, 30, tzinfo=timezone(timedelta(hours=2)))
MINUTE = timedelta(minutes=1)
ANOTHER_KEY = Keys("A. Nother", Ed25519PrivateKey.from_private_bytes(bytes(range(32, 64))))

FROM_LOCK = ("lock tied", *INSPECTED, "one five", "affirm", *INSPECTED, "cover fitted")
DEFERRAL = (*TO_COVER, "unable", "the hinge is bent", "part", *AGREED, "pin removed")
REWORK = (
    *TO_PRESSURE,
    *("niner zero zero", "one five zero zero", "second one six zero zero"),
    *("one five zero zero", "second one five zero zero", "affirm", "valve shut"),
    *("kilo delta four seven", "second kilo delta four seven", "affirm"),
    *("lock tied", *INSPECTED[:2], "rejected", "the tie is loose"),
    *(*FROM_LOCK, "pin removed"),
)
UNDONE = (
    *TO_TORQUE,
    *("one five", "affirm", *INSPECTED, "back to step seven", "affirm"),
    *("one six", "affirm", *INSPECTED, "cover fitted", "pin removed"),
)
BEFORE_KILLED = TO_LOCK
AFTER_KILLED = (ADA, "affirm", SEFA, "affirm", *("affirm",) * 3, *FROM_LOCK, "pin removed")


class Killed(BaseException):
    """The power goes: nothing more can be written."""


class EveryMinute:
    """An ear that hears something each minute; the run is killed where nothing is left to hear."""

    def __init__(self, said: Iterable[str], now: timedelta = timedelta(0)) -> None:
        self._said = iter(said)
        self.now = now

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Utterance | None:
        words = next(self._said, None)
        self.now += MINUTE
        if words is None:
            raise Killed
        heard = Heard(tuple(words.split()), 0.97, (), (), self.now, self.now)
        return Utterance(heard, sound(words), "technician")


class TypedEveryMinute:
    """A keyboard at which a line is typed each minute."""

    def __init__(self, said: Iterable[str]) -> None:
        self.now = timedelta(0)
        lines = StringIO("".join(f"{each}\n" for each in said))
        self._ear = KeyboardEar(lines, StringIO(), lambda: self.now)

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Utterance | None:
        self.now += MINUTE
        reached = self._ear.hear(phrases)
        assert reached is None or isinstance(reached, Utterance)
        return reached


def hold(folder: Path, ear: EveryMinute | TypedEveryMinute, way: Way = Way.VOICE) -> None:
    how = Circumstances(TASK.task, TASK.revision, way, ())
    clock: tuple[Callable[[], datetime], Callable[[], timedelta]]
    clock = (lambda: START + ear.now, lambda: ear.now)
    with Record(folder, VALVE, *clock, KEYS, NoSync(), circumstances=how) as record:
        _run(ear, record)


def _run(ear: Ear, record: Record, **more: object) -> None:
    run(TASK, ear, record, Voice(), NoScreen(), people=PEOPLE, utc_now=lambda: START, **more)  # type: ignore[arg-type]


def perfect(folder: Path) -> None:
    hold(folder, EveryMinute(TO_END))


def deferral(folder: Path) -> None:
    hold(folder, EveryMinute(DEFERRAL))


def rework(folder: Path) -> None:
    hold(folder, EveryMinute(REWORK))


def undone(folder: Path) -> None:
    hold(folder, EveryMinute(UNDONE))


def killed_and_resumed_by_another(folder: Path) -> None:
    with suppress(Killed):
        hold(folder, EveryMinute(BEFORE_KILLED))
    ear = EveryMinute(AFTER_KILLED)
    later = START + timedelta(hours=3)
    how = Circumstances(heard=Way.VOICE)
    with Record.go_on(
        folder,
        *(lambda: later + ear.now, lambda: ear.now),
        *(ANOTHER_KEY, NoSync()),
        circumstances=how,
    ) as record:
        where = left_off(TASK, read_entries(folder))
        run(TASK, ear, record, Voice(), NoScreen(), left_off=where, utc_now=lambda: later)


def typed_by_one_person(folder: Path) -> None:
    hold(folder, TypedEveryMinute(TO_END), Way.TYPED)


RUNS: dict[str, Callable[[Path], None]] = {
    "perfect": perfect,
    "deferral": deferral,
    "rework": rework,
    "undone": undone,
    "killed and resumed by another": killed_and_resumed_by_another,
    "typed by one person": typed_by_one_person,
}


def summary_of(folder: Path) -> Summary:
    entries = tuple(read_entries(folder))
    differences = sum(len(turn.differences) for turn in replay(TASK, entries))
    return summarise(TASK, entries, verify(folder), read_chain(folder).head, differences)
