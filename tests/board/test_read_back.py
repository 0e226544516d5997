"""The board shows no value that the second person must not know yet."""

from decimal import Decimal

from handsfree.board.last_value import Standing
from handsfree.board.live import view_as_json
from handsfree.board.sayable import fitting_answers
from handsfree.board.view import first_view, next_view
from handsfree.engine.advance import before_start
from handsfree.engine.events import Event
from handsfree.engine.phase import Phase
from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.forms import FixedLimits
from handsfree.task.model import Task
from tests.engine.people_task import READ, TASK, TO_PRESSURE, Crewed


class Shown(Crewed):
    """Every view of the board since the last look at them, as it is sent to the page."""

    def __init__(self, task: Task = TASK) -> None:
        self.view = first_view(task, before_start(task))
        self.shown: list[str] = []
        super().__init__(task)

    def send(self, event: Event) -> None:
        super().send(event)
        for effect in self.last:
            self.view = next_view(self.task, self.state, effect, self.view)
            self.shown.append(view_as_json(self.view))

    def shows(self, *texts: str) -> bool:
        """Whether any of them was on the board since this was asked last."""
        shown, self.shown = self.shown, []
        assert shown
        return any(text in each for each in shown for text in texts)


def at_pressure(task: Task = TASK) -> Shown:
    run = Shown(task)
    run.say(*TO_PRESSURE)
    run.shown = []
    return run


def with_pressure(**changed: object) -> Task:
    """The task with another expectation of the pressure that two people read."""
    at = TASK.index_of["pressure"]
    expected = TASK.steps[at].expect
    assert isinstance(expected, ReadingExpected)
    step = TASK.steps[at].model_copy(update={"expect": expected.model_copy(update=changed)})
    return TASK.model_copy(update={"steps": (*TASK.steps[:at], step, *TASK.steps[at + 1 :])})


FIRST = ("1500", "one five zero zero")


def test_the_first_value_is_not_on_the_board_before_the_second_is_stated() -> None:
    run = at_pressure()
    # Said, said again where it is not expected, and said by the wrong person.
    run.say("second one five zero zero", "one five zero zero", "one five zero zero")
    assert not run.shows(*FIRST)
    run.say("second one five zero zero")
    assert run.shows(*FIRST)


def test_the_limits_stand_there_for_both_and_give_nothing_away() -> None:
    run = at_pressure()
    assert run.view.limits == "1000 to 2000 psi"
    run.say("one five zero zero")
    assert (run.view.limits, run.view.value) == ("1000 to 2000 psi", None)


def test_limits_that_leave_one_value_are_not_there_for_the_second_person() -> None:
    only = FixedLimits(min=Decimal(1500), max=Decimal(1500))
    run = at_pressure(with_pressure(limits=only))
    run.say("one five zero zero")
    assert not run.shows(*FIRST)


def test_a_first_value_that_was_refused_is_not_on_the_board_either() -> None:
    """It was said once, or in figures that the scale does not have: it is still the value."""
    for task, words, figures in (
        (with_pressure(words_twice=True), "one five zero zero", "1500"),
        (TASK, "one five zero five", "1505"),
    ):
        run = at_pressure(task)
        run.say(words)
        assert run.view.value is not None
        assert run.view.value.standing is Standing.NOT_ACCEPTED
        assert not run.shows(words, figures)


def test_a_value_that_two_people_took_back_is_gone_before_they_look_again() -> None:
    run = at_pressure()
    run.say("one five zero zero", "second one five zero zero", "negative")
    assert run.view.value is None


def test_a_refused_value_is_gone_before_the_second_person_looks_for_the_next() -> None:
    run = at_pressure()
    run.say("niner zero zero", "second niner zero zero")
    assert run.view.value is not None
    assert run.view.value.verdict == "below minimum"
    run.shown = []
    run.say("niner one zero")
    assert not run.shows("900", "910", "niner")


def test_what_two_people_read_is_not_there_when_they_come_back_to_read_it_again() -> None:
    run = at_pressure()
    run.say(*READ)
    run.shown = []
    run.say("back to step three", "affirm")
    assert run.view.step == 3
    assert not run.shows(*FIRST)


def test_the_board_says_who_is_asked_for_what() -> None:
    pressure = TASK.steps[TASK.index_of["pressure"]].expect
    assert fitting_answers(Phase.SECOND, pressure) == ("second, and the pressure in psi",)
    assert fitting_answers(Phase.IDENTIFYING, pressure) == ("your staff number",)
    assert fitting_answers(Phase.INSPECTING, pressure) == ("inspected", "rejected")
    assert fitting_answers(Phase.REMARKING, pressure) == ("it, in any words",)
    assert fitting_answers(Phase.CATEGORISING, pressure)[-1] == "other reason"
