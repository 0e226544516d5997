"""A task with every way of leaving a step, and what is said to take each."""

from datetime import timedelta

from handsfree.engine.events import Started
from handsfree.task.course import ABOVE, BELOW, DEFERRED, INSIDE, LATE, Way
from handsfree.task.expectations import ChoiceExpected, ConfirmExpected, ReadingExpected
from handsfree.task.read import read_task
from handsfree.task.step import Step
from tests.engine.conversation import Conversation, heard
from tests.engine.people_task import AGREED

BRANCHES = """\
task: branches
title: Close a valve
revision: "1"
approved_data: {reference: QX 12, revision: "7"}
applicability: {aircraft: Any 1, component: valve}
variants: {side: [left, right]}
states:
  pin: {called: safety pin, values: [fitted, removed], start: unknown, end: fitted}
  cover: {called: cover, values: [fitted, left off], start: left off, end: [fitted, left off]}
counted:
  ties: {called: harness ties, total: 2}
never:
  - when: {pin: {not: fitted}, cover: fitted}
    because: the cover hides the pin
steps:
  - id: look
    instruction: Look at the safety pin.
    expect: {choose: [pin in, pin out, pin bent]}
    sets: {pin: fitted}
    then:
      pin out: {go: fit-pin, sets: {pin: removed}}
      pin bent: {go: end, sets: {pin: fitted}}
  - id: tie
    each: {end: [upper, lower]}
    instruction: Take one tie for the <end> end.
    expect: {confirm: <end> tie taken}
    counts_out: {ties: 1}
  - id: close-valve
    instruction: Close the valve.
    expect: {confirm: valve closed}
    then: pressure
  - id: fit-pin
    instruction: Fit the safety pin.
    expect: {confirm: pin fitted}
    sets: {pin: fitted}
    then: look
  - id: pressure
    instruction: Read the pressure.
    expect: {reading: pressure, unit: psi, resolution: 10, limits: {min: 100, max: 200}}
    wait: {since: close-valve, at_least: 2 min, at_most: 1 h}
    then: {below: close-valve, late: close-valve}
  - id: left-label
    applies: {side: left}
    instruction: Read the label.
    expect: {identity: label}
  - id: fit-cover
    critical: true
    needs: {pin: fitted}
    instruction: Fit the cover.
    expect: {confirm: cover fitted}
    sets: {cover: fitted}
    deferral: {authority: the duty engineer}
  - id: look-again
    instruction: Look at the valve.
    expect: {choose: [valve is dry, valve is wet, valve leaks]}
    then: {valve is wet: fit-cover, valve leaks: pressure}
  - id: count
    instruction: Put the ties back.
    expect: {confirm: ties put back}
    counts_in: {ties: 2}
"""

TASK = read_task(BRANCHES, "branches.yaml")
UNABLE = ("unable", "the hinge is bent", "part")
DEFER = (*UNABLE, *AGREED)
WAITED, TOO_LONG = timedelta(minutes=2), timedelta(hours=2)


class Branching(Conversation):
    """A run of the branching task; time passes only where it is said."""

    def __init__(self, side: str = "right") -> None:
        super().__init__(TASK)
        self.now = timedelta(0)
        self.send(Started(variants=(("side", side),)))
        self.finish_speaking()

    def say(self, *utterances: str) -> "Branching":
        for words in utterances:
            self.send(heard(words, at=self.now))
            self.finish_speaking()
        return self

    def after(self, time: timedelta) -> "Branching":
        self.now += time
        return self

    def leave_by(self, way: Way) -> "Branching":
        """Say what takes `way` out of the step."""
        step = TASK.steps[self.state.step]
        if step.wait is not None:
            self.after(TOO_LONG if way.outcome == LATE else WAITED)
        return self.say(*said_for(step, way))


def said_for(step: Step, way: Way) -> tuple[str, ...]:
    if way.outcome == DEFERRED:
        return DEFER
    match step.expect:
        case ConfirmExpected(confirm=phrase):
            return (phrase,)
        case ChoiceExpected():
            return (way.outcome,)
        case ReadingExpected():
            values = {INSIDE: "one five zero", BELOW: "five zero", ABOVE: "three hundred"}
            if way.outcome == LATE:
                return ("one five zero",)
            return (values[way.outcome], "affirm")
    return ("kilo four", "affirm")
