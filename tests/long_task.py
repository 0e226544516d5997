"""The long task by the book: what is said at each moment to go on, for tests and benchmarks."""

from datetime import UTC, datetime, timedelta

from handsfree.engine.events import Started
from handsfree.engine.manner import Manner
from handsfree.engine.phase import Phase
from handsfree.engine.waiting import Identifying, IdentityHeard
from handsfree.rehearse import confusable_phrases
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.task.roles import Role
from handsfree.task.roster import read_roster
from handsfree.words.alphabet import speak_characters
from handsfree.words.heard import Heard
from handsfree.words.spoken_numbers import speak_number
from handsfree.words.units import speak_unit
from tests.engine.conversation import Conversation
from tests.shipped_tasks import FOLDER, ROSTER

TODAY = datetime(2031, 3, 1, 8, tzinfo=UTC)
_STAFF = {Role.TECHNICIAN: "OA-417", Role.SECOND_PERSON: "OA-608", Role.INSPECTOR: "OA-744"}
_A_DATE = "three one december two zero seven one"
_FIFTEEN_DEGREES = "one five degrees celsius"


def long_task() -> Task:
    """The door slide task as it comes with handsfree."""
    path = FOLDER / "door-slide-refit.yaml"
    return read_task(path.read_text(encoding="utf-8"), path.name)


class LongRun(Conversation):
    """A run of the long task with its people, and what would be right to say next."""

    def __init__(self, task: Task | None = None) -> None:
        super().__init__(long_task() if task is None else task)
        self.now = timedelta(0)

    def begin(self, manner: Manner = Manner.FULL) -> "LongRun":
        people = read_roster(ROSTER.read_text(encoding="utf-8"), ROSTER.name)
        confusable = confusable_phrases(self.task)
        self.send(
            Started(confusable, today=TODAY.date(), people=people, clock=TODAY, manner=manner)
        )
        self.finish_speaking()
        return self

    def hear(self, words: str, channel: int | None = 1, score: float = 1.0) -> "LongRun":
        """Some seconds later somebody says this."""
        self.now += timedelta(seconds=5)
        self.send(Heard(tuple(words.split()), score, (), (), self.now, self.now, channel))
        self.finish_speaking()
        return self

    def go_on(self) -> "LongRun":
        """What is right is said by who is asked."""
        self.hear(*self.right())
        return self

    def to_step(self, step: str) -> "LongRun":
        """By the book until this step is spoken."""
        while self.step != step or self.state.phase is not Phase.ANSWERING:
            self.go_on()
        return self

    def right(self) -> tuple[str, int]:
        """What is right now, and on whose headset."""
        match self.state.waits_for:
            case Identifying(role=role):
                return speak_characters(_STAFF[role]).lower(), role.channel or 1
            case IdentityHeard(asked=asked):
                return "affirm", asked.role.channel or 1
        match self.state.phase:
            case Phase.CONFIRMING | Phase.CHECKING_STATES | Phase.GOING_BACK | Phase.DEFERRING:
                return "affirm", 1
            case Phase.STANDING_BY:
                return "go ahead", 1
            case Phase.INSPECTING:
                return "inspected", 3
            case Phase.CATEGORISING:
                return "other", 1
            case Phase.REMARKING:
                return "the light is too weak", 1
            case Phase.SECOND:
                return self.expected_answer(), 2
        return self.expected_answer(), 1

    def expected_answer(self) -> str:
        """What answers the step that the run is at."""
        match self.task.steps[self.state.step].expect:
            case ConfirmExpected(confirm=phrase):
                return phrase
            case ChoiceExpected(choose=phrases, required=required):
                return required or phrases[0]
            case DateExpected():
                return _A_DATE
            case IdentityExpected(accept=accepted):
                return speak_characters(accepted[0] if accepted else "TA-31").lower()
            case ReadingExpected() as reading:
                if reading.reading == "temperature":
                    return _FIFTEEN_DEGREES
                bounds = reading.limits.bounds(dict(self.state.readings))
                least = bounds.lowest_readable(reading.resolution)
                assert least is not None
                return f"{speak_number(least)} {speak_unit(reading.unit)}"
        raise AssertionError(f"nothing is waited for at {self.step}")
