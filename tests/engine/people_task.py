"""A task that needs three people, and a roster. All names and numbers are invented."""

from datetime import UTC, datetime, timedelta
from typing import Self

from handsfree.engine.events import SilenceFor, Started, TakenUp
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.task.roster import read_roster
from handsfree.words.heard import Heard
from tests.engine.conversation import Conversation

VALVE = """\
task: valve
title: Charge a valve
revision: "1"
approved_data: {reference: QX 12, revision: "7"}
applicability: {aircraft: Any 1, component: valve}
states:
  pin: {called: safety pin, values: [fitted, removed], start: removed, end: removed}
  valve: {called: valve, values: [closed, open], start: closed, end: closed}
  rework: {called: rework, values: [none, wanted], start: none, end: none}
counted:
  ties: {called: ties, total: 2, end: 1}
never:
  - when: {pin: removed, valve: open}
    because: the gas can throw out the pin
steps:
  - id: fit-pin
    instruction: Fit the safety pin.
    expect: {confirm: pin fitted}
    sets: {pin: fitted}
  - id: open-valve
    warning: Gas can burn you.
    instruction: Open the valve.
    expect: {confirm: valve open}
    needs: {pin: fitted}
    sets: {valve: open}
  - id: pressure
    instruction: Read the pressure.
    expect: {reading: pressure, unit: psi, resolution: 10, limits: {min: 1000, max: 2000}}
    needs: {valve: open}
    read_back: true
  - id: close-valve
    instruction: Close the valve.
    expect: {confirm: valve shut}
    needs: {pin: fitted}
    sets: {valve: closed}
    wait: {since: open-valve, at_most: 1 h}
    then: {late: open-valve}
  - id: part
    instruction: Read the part number.
    expect: {identity: part number, accept: [KD-47]}
    read_back: true
  - id: lock
    instruction: Tie the lock.
    expect: {confirm: lock tied}
    counts_out: {ties: 1}
    inspection: true
  - id: torque
    instruction: Tighten the cap.
    expect: {reading: torque, unit: N.m, resolution: 1, limits: {min: 10, max: 20}}
    inspection: true
    then: {rejected: {go: torque-again, sets: {rework: wanted}}}
  - id: torque-again
    applies: {rework: wanted}
    instruction: Loosen the cap.
    expect: {confirm: cap loose}
    sets: {rework: none}
    then: torque
  - id: cover
    instruction: Fit the cover.
    expect: {confirm: cover fitted}
    deferral: {authority: maintenance control}
  - id: remove-pin
    instruction: Remove the safety pin.
    expect: {confirm: pin removed}
    needs: {valve: closed}
    sets: {pin: removed}
"""
ROSTER = """\
people:
  - name: Tarn Osk
    staff_number: OA-417
    authorised: {technician: 2031-12-31, second person: 2031-12-31}
  - name: Sefa Lund
    staff_number: OA-522
    authorised: {second person: 2031-12-31, technician: 2031-12-31}
  - name: Ines Varga
    staff_number: OA-633
    authorised: {inspector: 2031-12-31, technician: 2031-12-31}
  - name: Olan Brek
    staff_number: OA-744
    authorised: {inspector: 2031-05-03, second person: 2031-05-04}
  - name: Ada Quill
    staff_number: OA-855
    authorised: {technician: 2031-12-31, second person: 2031-12-31, inspector: 2031-12-31}
  - name: Ruan Dell
    staff_number: OA-966
    authorised: {supervisor: 2031-12-31}
"""
PEOPLE = read_roster(ROSTER, "roster.yaml")
TODAY = datetime(2031, 5, 4, 12, tzinfo=UTC)

TARN, SEFA, INES, OLAN, ADA, RUAN = (
    f"oscar alfa {figures}"
    for figures in (
        "four one seven",
        "five two two",
        "six three three",
        "seven four four",
        "eight five five",
        "niner six six",
    )
)
TO_FIRST = (TARN, "affirm", SEFA, "affirm")
TO_PRESSURE = (*TO_FIRST, "pin fitted", "valve open")
READ = ("one five zero zero", "second one five zero zero", "affirm")
TO_CLOSE = (*TO_PRESSURE, *READ)
TO_PART = (*TO_CLOSE, "valve shut")
TO_LOCK = (*TO_PART, "kilo delta four seven", "second kilo delta four seven", "affirm")
# That somebody who may has deferred a step: yes, by whom, under which reference, and affirmed.
AGREED = ("affirm", "olan ahl", "romeo three one", "affirm")
INSPECTED = (INES, "affirm", "inspected")
TO_TORQUE = (*TO_LOCK, "lock tied", *INSPECTED)
TO_COVER = (*TO_TORQUE, "one five", "affirm", *INSPECTED)
TO_END = (*TO_COVER, "cover fitted", "pin removed")


class Crewed(Conversation):
    """A run with people; time passes only where it is said."""

    def __init__(
        self, task: Task | None = None, *, with_roster: bool = True, **variants: str
    ) -> None:
        super().__init__(task or TASK)
        self.now = timedelta(0)
        people, said = PEOPLE if with_roster else (), tuple(variants.items())
        self.send(Started(people=people, clock=TODAY, today=TODAY.date(), variants=said))
        self.finish_speaking()

    def hear(self, words: str, score: float = 1.0, channel: int | None = None) -> Self:
        said = tuple(words.split())
        self.send(Heard(said, score, (), (), self.now, self.now, channel))
        self.finish_speaking()
        return self

    def say(self, *utterances: str) -> Self:
        for words in utterances:
            self.hear(words)
        return self

    def after(self, time: timedelta) -> Self:
        self.now += time
        return self

    def silence(self) -> Self:
        self.after(timedelta(seconds=30))
        self.send(SilenceFor(timedelta(seconds=30), self.now))
        self.finish_speaking()
        return self

    def taken_up(self, clock: datetime = TODAY) -> Self:
        self.send(TakenUp(self.now, clock))
        self.finish_speaking()
        return self


TASK = read_task(VALVE, "valve.yaml")
STATES = len(TASK.states)


def at(*utterances: str) -> Crewed:
    return Crewed().say(*utterances)
