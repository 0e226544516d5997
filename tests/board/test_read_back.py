"""The board shows no value that the second person must not know yet."""

from handsfree.board.live import view_as_json
from handsfree.board.sayable import answers
from handsfree.board.view import first_view, next_view
from handsfree.engine.advance import advance, before_start
from handsfree.engine.events import Event, Spoken, Started
from handsfree.engine.phase import Phase
from handsfree.words.heard import Heard
from tests.engine.people_task import PEOPLE, TASK, TO_PRESSURE, TODAY


def test_the_first_value_is_not_on_the_board_before_the_second_is_stated() -> None:
    state = before_start(TASK)
    view = first_view(TASK, state)
    shown: list[str] = []

    def send(event: Event) -> None:
        nonlocal state, view
        state, effects = advance(TASK, state, event)
        for effect in effects:
            view = next_view(TASK, state, effect, view)
            shown.append(view_as_json(view))
        if state.speaking:
            send(Spoken())

    def say(words: str) -> None:
        send(Heard(tuple(words.split()), 1.0, (), (), state.now, state.now))

    send(Started(people=PEOPLE, clock=TODAY))
    for words in TO_PRESSURE:
        say(words)
    shown.clear()
    # Said, said again where it is not expected, and said by the wrong person.
    for words in ("second one five zero zero", "one five zero zero", "one five zero zero"):
        say(words)
    assert not any("1500" in each or "one five zero zero" in each for each in shown)
    say("second one five zero zero")
    assert "1500" in shown[-1]


def test_the_board_says_who_is_asked_for_what() -> None:
    pressure = TASK.steps[TASK.index_of["pressure"]].expect
    assert answers(Phase.SECOND, pressure) == ("second, and the pressure in psi",)
    assert answers(Phase.IDENTIFYING, pressure) == ("your staff number",)
    assert answers(Phase.INSPECTING, pressure) == ("inspected", "rejected")
    assert answers(Phase.REMARKING, pressure) == ("why, in any words",)
    assert answers(Phase.CATEGORISING, pressure)[-1] == "other"
