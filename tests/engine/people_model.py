"""What must hold in any conversation of several people; held against the engine at each event."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from handsfree.engine.advance import advance, before_start
from handsfree.engine.effects import Effect, Finish, Listen, Say, Write
from handsfree.engine.entries import (
    FirstStated,
    InspectionPassed,
    PersonIdentified,
    ReadingTaken,
    SecondStated,
    StatementsDiffer,
    StepConfirmed,
    StepDeferred,
)
from handsfree.engine.events import Event, SilenceFor, Spoken, Started, TakenUp
from handsfree.engine.findings import Category
from handsfree.engine.over_the_tool import asks_to_wait
from handsfree.engine.phase import Phase
from handsfree.engine.state import State
from handsfree.engine.trust import PHRASE_AT
from handsfree.engine.waiting import Identifying
from handsfree.record.entries import LoggedEntry
from handsfree.record.replay import replay
from handsfree.record.values import fields_of, kind_of
from handsfree.task.conditions import holds
from handsfree.task.proof.explore import Cone, walk
from handsfree.task.roles import Role
from handsfree.words.alphabet import speak_characters
from handsfree.words.fractions import speak_measured
from handsfree.words.heard import Heard
from handsfree.words.plain import PlainWord
from handsfree.words.standard import StandardWord
from tests.engine.people_task import (
    ADA,
    INES,
    OLAN,
    PEOPLE,
    SEFA,
    TARN,
    TASK,
    TO_END,
    TODAY,
)

REACHABLE = frozenset(
    walk(
        TASK,
        Cone(
            frozenset(TASK.states),
            frozenset(TASK.counted),
            frozenset({"open-valve"}),
        ),
        lambda _: None,
    ).came_by
)

# What people say that must never move anything, however surely it was heard.
MOVES_NOTHING = (
    *("yes", "okay", "done", "roger", "check", "no", "help", "what can i say", "go back"),
    *("pin not fitted", "no valve open", "don't go ahead", "not affirm", "not inspected"),
    *("what is the limit", "what was the pressure", "what is the warning", "which tool"),
    *("what part number", "what was the last reading", "how many steps left", "what is next"),
    *("repeat", "what was that", "about one five zero zero", "fifty two nineteen"),
)
EVERYDAY = (
    *MOVES_NOTHING,
    *("wait", "hold on", "stop", "no stop", "no wait", "sorry", "scratch that", "i mean"),
    *(
        "one four zero zero no wait one five zero zero",
        "it's one five zero zero",
        "fifteen hundred",
    ),
    *("not one five zero zero", "second fifteen hundred"),
)
WORDS = tuple(
    sorted(
        {
            *EVERYDAY,
            *(word.value for word in StandardWord),
            PlainWord.WHERE_AM_I.value,
            PlainWord.HAND_OVER.value,
            *(f"back to step {number}" for number in ("one", "two", "six", "niner", "four zero")),
            "close finding one",
            "close finding two",
            "inspected",
            "rejected",
            *(each.value for each in Category),
            *TO_END,
            TARN,
            SEFA,
            INES,
            OLAN,
            ADA,
            "oscar alfa niner niner niner",
            f"correction {INES}",
            "cap loose",
            "two five zero zero",
            "one five one zero",
            "second one five one zero",
            "second one six zero zero",
            "correction one six zero zero",
            "second correction one five zero zero",
            "second two zero zero bar",
            "one five five",
            "kilo delta four eight",
            "second kilo delta four eight",
            "the hinge is bent",
            "",
        }
    )
)
SCORES = (0.0, 0.5, PHRASE_AT - 0.01, 0.92, 0.99, 1.0, 1.0, 1.0)
CHANNELS = (None, None, None, 1, 2, 3)
PAUSES = tuple(timedelta(minutes=each) for each in (0, 0, 0, 1, 11, 70))

_ANSWERS = {
    "fit-pin": "pin fitted",
    "open-valve": "valve open",
    "pressure": "one five zero zero",
    "close-valve": "valve shut",
    "part": "kilo delta four seven",
    "lock": "lock tied",
    "torque": "one five",
    "torque-again": "cap loose",
    "cover": "cover fitted",
    "remove-pin": "pin removed",
}

_NUMBERS = (TARN, SEFA, INES, OLAN, ADA)
_BACK = tuple(f"back to step {number}" for number in ("one", "two", "three", "six", "seven"))
_AT_A_STEP = (*_BACK, "hand over", "unable", "stand by", "close finding one", "where am i")
_PLAUSIBLE = {
    Phase.IDENTIFYING: _NUMBERS,
    Phase.IDENTITY_HEARD: ("affirm", "affirm", "negative"),
    Phase.DEFERRING: ("affirm", "affirm", "negative", "go ahead", "stand by"),
    Phase.REFERENCING: ("romeo three one", "affirm", "disregard", "go ahead", "stand by"),
    Phase.DEFERRAL_HEARD: ("affirm", "affirm", "negative", "correction romeo two", "go ahead"),
    Phase.GOING_BACK: ("affirm", "affirm", "negative", "stand by"),
    Phase.SECOND: (
        *("second one five one zero", "second one six zero zero", "one five zero zero"),
        *("correction one six zero zero", "second two zero zero bar", "read back", "disregard"),
    ),
    Phase.INSPECTING: ("rejected", "inspected", "stand by", "hand over"),
    Phase.CHECKING_STATES: ("negative", "affirm", *_BACK),
    Phase.STANDING_BY: ("go ahead", "the telephone"),
    Phase.CONFIRMING: ("negative", "correction one six zero zero", "one six zero zero"),
}


class Model:
    """One conversation, and what is known of it without asking the engine."""

    def __init__(self) -> None:
        self.state: State = before_start(TASK)
        self.now = timedelta(0)
        self.log: list[LoggedEntry] = []
        self.counts: Counter[str] = Counter()
        self.spoken_words: list[int] = []  # by the tool, for each step that was done
        self.finished = False
        self._secret: set[str] = set()  # values that must not be said aloud
        self._words = 0
        self._first = ""  # what the technician stated last
        self.send(Started(people=PEOPLE, clock=TODAY))

    def hear(self, words: str, score: float = 1.0, channel: int | None = None) -> None:
        """Somebody says something, after the tool has finished."""
        said = tuple(words.split())
        before = self.state
        self.send(Heard(said, score, (), (), self.now, self.now, channel))
        if score < PHRASE_AT and before.phase is not Phase.REMARKING:
            assert _progress(self.state) == _progress(before)
            self.counts["doubtful hearings"] += 1
        if words in MOVES_NOTHING and before.phase is not Phase.REMARKING:
            assert _progress(self.state) == _progress(before), words
            assert _is_no_further(before, self.state), words
            self.counts["everyday words that move nothing"] += 1

    def speak_over(self, words: str) -> None:
        """Somebody speaks while the tool does: it is noted, and only "stop" changes anything."""
        said = Heard(tuple(words.split()), 1.0, (), (), self.now, self.now)
        state, effects = advance(TASK, _speaking(self.state), said)
        assert _progress(state) == _progress(self.state)
        assert not any(isinstance(each, Listen) for each in effects)
        if asks_to_wait(said):
            assert state.phase is Phase.STANDING_BY
        else:
            assert not any(isinstance(each, Say) for each in effects)

    def silence(self) -> None:
        """Nobody says anything; the tool must not leave it at that."""
        self.now += timedelta(seconds=30)
        before = len(self.log)
        self.send(SilenceFor(timedelta(seconds=30), self.now))
        assert any(each.kind == "say" for each in self.log[before:])

    def end_of_the_program(self) -> None:
        """The program ends and goes on."""
        self.send(TakenUp(self.now, TODAY))

    def send(self, event: Event) -> None:
        """Send the event, and let all be said that follows."""
        if self.finished:
            return
        self._take(event)
        while self.state.speaking and not self.finished:
            self._take(Spoken())
        assert self.finished or self._listens

    def _take(self, event: Event) -> None:
        self._note(event)
        before = self.state
        self.state, effects = advance(TASK, before, event)
        self.counts["events"] += 1
        for effect in effects:
            match effect:
                case Write(entry):
                    self._note(entry)
                case Say():
                    self._note(effect)
                    self._words += len(effect.text.split())
        self._listens = any(isinstance(each, Listen) for each in effects)
        self.finished = any(isinstance(each, Finish) for each in effects)
        self._check(before, effects)

    def _note(self, value: object) -> None:
        self.log.append(
            LoggedEntry(len(self.log), kind_of(value), "", self.now, None, None, fields_of(value))
        )

    def _check(self, before: State, effects: tuple[Effect, ...]) -> None:
        state = self.state
        entries = [each.entry for each in effects if isinstance(each, Write)]
        if state.phase is not Phase.READY:
            # What `check` has proved of every position holds here, going back included.
            assert state.position in REACHABLE
        states = dict(state.states)
        for rule in TASK.never:
            assert not all(holds(each, states[name]) for name, each in rule.when.items())
        technician = state.crew.number_of(Role.TECHNICIAN)
        assert technician is None or technician != state.crew.number_of(Role.SECOND_PERSON)
        self._check_read_back(entries, effects)
        for entry in entries:
            match entry:
                case StepConfirmed(step=step):
                    self._check_confirmed(before, step, entries)
                case StepDeferred(by=by, reference=reference):
                    # Nothing is deferred but by name and reference, both read back just before.
                    assert by
                    assert reference
                    assert before.phase is Phase.DEFERRAL_HEARD
                case PersonIdentified(staff_number=number):
                    assert before.phase is Phase.IDENTITY_HEARD
                    assert number != "OA744" or entry.role is Role.SECOND_PERSON
        assert len(state.findings.open) <= state.findings.opened

    def _check_confirmed(self, before: State, step: str, entries: Sequence[object]) -> None:
        self.counts["steps done"] += 1
        self.spoken_words.append(self._words)
        self._words = 0
        assert not before.crew.missing
        assert not before.resumption.checks
        if TASK.steps[TASK.index_of[step]].inspection:
            passed = [each for each in entries if isinstance(each, InspectionPassed)]
            assert [each.step for each in passed] == [step]
            work = before.this_step.uninspected
            assert work is not None
            assert passed[0].by not in (work.by, before.crew.number_of(Role.TECHNICIAN))
            self.counts["inspections"] += 1

    def _check_read_back(self, entries: Sequence[object], effects: tuple[Effect, ...]) -> None:
        agreed = any(isinstance(each, SecondStated) for each in entries) and not any(
            isinstance(each, StatementsDiffer) for each in entries
        )
        for entry in entries:
            match entry:
                case FirstStated(figures=figures):
                    self._secret, self._first = {_aloud(figures)}, figures
                case SecondStated(figures=figures):
                    assert not agreed or _same(self._first, figures)
                    self._secret |= {_aloud(figures)}
                case ReadingTaken(step=step):
                    if TASK.steps[TASK.index_of[step]].read_back:
                        assert agreed
                case StatementsDiffer():
                    self.counts["read backs that differ"] += 1
        if agreed:
            self.counts["read backs that agree"] += 1
            self._secret = set()
        if self._secret:
            for effect in effects:
                if isinstance(effect, Say):
                    assert not any(each in effect.text.lower() for each in self._secret)
        if self.state.phase is not Phase.SECOND:
            self._secret = set()

    def right_answer(self) -> str:
        """What brings the task on from here."""
        state = self.state
        match state.phase:
            case Phase.STANDING_BY:
                return "go ahead"
            case Phase.REMARKING:
                return "the hinge is bent"
            case Phase.REFERENCING:
                return "romeo three one"
            case Phase.CATEGORISING:
                return "part"
            case Phase.CONFIRMING | Phase.CHECKING_STATES | Phase.IDENTITY_HEARD:
                return "affirm"
            case Phase.GOING_BACK | Phase.DEFERRING:
                return "negative"
            case Phase.DEFERRAL_HEARD:
                return "affirm"
            case Phase.INSPECTING:
                return "inspected"
            case Phase.IDENTIFYING:
                return self._who()
        answer = _ANSWERS[TASK.steps[state.step].id]
        return f"second {answer}" if state.phase is Phase.SECOND else answer

    def plausible(self) -> tuple[str, ...]:
        """What people could well say here, right or wrong: it leads to where a word seldom does."""
        return _PLAUSIBLE.get(self.state.phase, _AT_A_STEP)

    def _who(self) -> str:
        asked = self.state.waits_for
        assert isinstance(asked, Identifying)
        if asked.closing is not None:
            return "disregard"
        taken = {number for _, number in self.state.crew.present}
        match asked.role:
            case Role.TECHNICIAN:
                return SEFA if "OA417" in taken else TARN
            case Role.SECOND_PERSON:
                return SEFA if "OA522" not in taken else ADA
        return INES if "OA633" not in self._may_not_inspect() else ADA

    def _may_not_inspect(self) -> set[str]:
        """Who has another part in the step, or had."""
        crew = self.state.crew
        present = {number for _, number in crew.present} - {crew.number_of(Role.INSPECTOR)}
        return {*present, *crew.who_took_part_in(TASK.steps[self.state.step].id)}

    def _nobody_can_inspect(self) -> bool:
        asked = self.state.waits_for
        is_asked = isinstance(asked, Identifying) and asked.role is Role.INSPECTOR
        return is_asked and self._may_not_inspect() >= {"OA633", "OA855"}

    def end(self) -> None:
        """From wherever it is, the right answers lead to the end."""
        for _ in range(200):
            if self.finished:
                return
            if self._nobody_can_inspect():
                # Both who are authorised have worked on the step: it waits for a third one.
                self.counts["nobody left to inspect"] += 1
                return
            self.hear(self.right_answer())
        raise AssertionError(f"the task does not end: {self.state}")

    def check_replay(self) -> None:
        """The record, written and read back, decides the same again."""
        differences = [each for turn in replay(TASK, self.log) for each in turn.differences]
        assert differences == []
        self.counts["conversations replayed"] += 1


def _is_no_further(before: State, after: State) -> bool:
    """What waited to be affirmed waits still, or was taken back; nothing new waits."""
    return after.pending in (before.pending, None)


def _progress(state: State) -> object:
    return (
        state.position,
        state.readings,
        state.done,
        state.progress.done_at,
        state.crew.present,
        state.findings.opened,
        state.findings.open,
    )


def _speaking(state: State) -> State:
    return replace(state, speaking=True)


def _same(first: str, second: str) -> bool:
    """As far as the gauge of the task shows, in steps of 10."""
    if not first.isdigit():
        return first == second
    return abs(int(first) - int(second)) <= 10


def _aloud(figures: str) -> str:
    is_number = figures.replace(".", "").replace("-", "").isdigit()
    return speak_measured(figures) if is_number else speak_characters(figures)
