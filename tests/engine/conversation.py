"""A run of the engine as text: what a person says, and what the tool answers."""

from datetime import timedelta

from handsfree.engine.advance import advance, before_start
from handsfree.engine.effects import Effect, Finish, Listen, Say, Speech, Write
from handsfree.engine.entries import Entry, ReadingTaken
from handsfree.engine.events import Event, Spoken, Started
from handsfree.engine.state import State
from handsfree.task.limits.forms import Verdict
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.words.heard import Heard

BOTTLE = """\
task: bottle
title: Check a bottle
revision: "4"
notice: Everything here is invented.
approved_data: {reference: QX 12, revision: "7"}
applicability: {aircraft: Any 1, component: bottle}
warning: A bottle can burst.
states:
  pin: {called: safety pin, values: [fitted, removed], start: removed, end: removed}
steps:
  - id: fit-pin
    warning: The door can move.
    caution: Do not force the pin.
    note: The pin has a red flag.
    instruction: Fit the safety pin.
    expect: {confirm: pin fitted}
    sets: {pin: fitted}
  - id: wait
    instruction: The bottle takes the temperature of the air.
  - id: temperature
    instruction: Read the temperature.
    expect: {reading: temperature, unit: degC, resolution: 1, limits: {min: -20, max: 50}}
  - id: pressure
    instruction: Read the pressure.
    expect:
      reading: pressure
      called: gauge
      unit: psi
      resolution: 10
      limits:
        over: temperature
        table:
          - {at: -20, min: 2500, max: 2800}
          - {at: 50, min: 3200, max: 3500}
  - id: serial
    instruction: Read the part number.
    expect: {identity: part number, accept: [KD-47B]}
  - id: side
    instruction: Look where the harness runs.
    expect: {choose: [left side, right side], required: left side}
  - id: remove-pin
    instruction: Remove the safety pin.
    expect: {confirm: pin removed}
    sets: {pin: removed}
"""

TASK = read_task(BOTTLE, "bottle.yaml")


def heard(words: str, score: float = 1.0, at: timedelta = timedelta(0)) -> Heard:
    return Heard(tuple(words.split()), score, (), (), at, at)


class Conversation:
    """Feeds events to the engine, and keeps what came of each."""

    def __init__(self, task: Task = TASK) -> None:
        self.task = task
        self.state: State = before_start(task)
        self.effects: list[Effect] = []
        self.last: tuple[Effect, ...] = ()

    def send(self, event: Event) -> None:
        self.state, self.last = advance(self.task, self.state, event)
        self.effects.extend(self.last)

    def start(self) -> "Conversation":
        self.send(Started())
        return self.finish_speaking()

    def finish_speaking(self) -> "Conversation":
        """What is said is said to its end, also where a step is only said and the next follows."""
        while self.state.speaking:
            before = self.last
            self.send(Spoken())
            self.last = (*before, *self.last)
        return self

    def say(self, *utterances: str) -> "Conversation":
        for words in utterances:
            self.send(heard(words))
            self.finish_speaking()
        return self

    def mumble(self, words: str = "pin fitted", score: float = 0.2) -> "Conversation":
        self.send(heard(words, score))
        return self.finish_speaking()

    @property
    def answer(self) -> str:
        """What the tool said after the last utterance."""
        return " ".join(each.text for each in self.last if isinstance(each, Say))

    @property
    def written(self) -> list[Entry]:
        """What the last utterance put on the record."""
        return [each.entry for each in self.last if isinstance(each, Write)]

    @property
    def did(self) -> list[type[Entry] | Speech]:
        """What the tool did after the last utterance: its entries and its speech, by their kinds.

        The words that it says stand in `sentences.txt`.
        """
        return [
            type(each.entry) if isinstance(each, Write) else each.speech
            for each in self.last
            if isinstance(each, Write | Say)
        ]

    @property
    def verdict(self) -> Verdict:
        """How the last reading stood to its limits."""
        return next(
            each.entry.verdict
            for each in reversed(self.effects)
            if isinstance(each, Write) and isinstance(each.entry, ReadingTaken)
        )

    @property
    def step(self) -> str:
        return self.task.steps[self.state.step].id

    @property
    def listens(self) -> bool:
        return any(isinstance(each, Listen) for each in self.last)

    @property
    def finished(self) -> bool:
        return any(isinstance(each, Finish) for each in self.effects)


# What brings a fresh run to each step.
TO_TEMPERATURE = ("pin fitted",)
TO_PRESSURE = (*TO_TEMPERATURE, "one five", "affirm")
TO_SERIAL = (*TO_PRESSURE, "three thousand", "affirm")
TO_SIDE = (*TO_SERIAL, "kilo delta four seven bravo", "affirm")
TO_END = (*TO_SIDE, "left side")


def at(*utterances: str) -> Conversation:
    """A run of the bottle after these were said, each surely heard."""
    return Conversation().start().say(*utterances)
