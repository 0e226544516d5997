"""The board beside a task that branches: what leads on, what is counted, what is left undone."""

from dataclasses import replace

from handsfree.board.last_value import Sign, Standing
from handsfree.board.view import Activity, BoardView, Focus, first_view, next_view
from handsfree.engine.events import Event
from tests.engine.branching import TASK, UNABLE, WAITED, Branching
from tests.engine.people_task import AGREED


class FollowedBranching(Branching):
    view: BoardView

    def __init__(self) -> None:
        self.view = first_view(TASK, Branching().state)
        super().__init__()

    def send(self, event: Event) -> None:
        super().send(event)
        for effect in self.last:
            self.view = next_view(self.task, self.state, effect, self.view)


TO_PRESSURE = ("pin in", "upper tie taken", "lower tie taken", "valve closed")


def at_pressure() -> FollowedBranching:
    run = FollowedBranching()
    run.say(*TO_PRESSURE).after(WAITED)
    return run


def assert_no_value(view: BoardView) -> None:
    assert view.value is None


def test_what_is_counted_stands_beside_the_states() -> None:
    assert at_pressure().view.states == (
        ("safety pin", "fitted"),
        ("cover", "left off"),
        ("harness ties out", "2"),
    )


def test_a_choice_that_only_leads_on_gets_no_tick() -> None:
    run = FollowedBranching()
    run.state = replace(run.state, given=replace(run.state.given, confusable=("pin out",)))
    run.mumble("pin out", 0.93)
    assert run.view.value is not None
    assert (run.view.value.text, run.view.value.mark) == ("pin out", Sign.NOTED)
    assert run.view.value.standing is Standing.WAITING


def test_a_value_outside_that_leads_on_waits_as_outside_and_does_not_come_back() -> None:
    run = at_pressure()
    run.say("five zero")
    assert run.view.value is not None
    assert (run.view.focus, run.view.value.standing) == (Focus.VALUE, Standing.WAITING)
    assert (run.view.value.mark, run.view.value.verdict) == (Sign.LOW, "below minimum")
    run.say("affirm")
    assert run.step == "close-valve"
    assert_no_value(run.view)
    run.say("valve closed")
    assert run.step == "pressure"
    assert_no_value(run.view)


def test_a_step_that_is_deferred_is_asked_about_and_stays_on_the_board_to_the_end() -> None:
    run = at_pressure()
    run.say("one five zero", "affirm", *UNABLE)
    assert run.view.focus is Focus.VOICE
    assert {"affirm", "negative"} <= set(run.view.answers)
    run.say(*AGREED[:2])
    assert run.view.answers == ("the reference, letter by letter",)
    run.say(*AGREED[2:])
    assert run.view.left_undone == ("step 8, deferred",)
    run.say("valve is dry", "ties put back")
    assert run.view.activity is Activity.FINISHED
    assert run.view.left_undone == ("step 8, deferred",)
