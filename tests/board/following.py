"""A run of the engine with a board beside it."""

from pathlib import Path

from handsfree.board.last_value import Sign, Standing
from handsfree.board.view import BoardView, first_view, next_view
from handsfree.engine.advance import before_start
from handsfree.engine.crew import needed
from handsfree.engine.events import Event, Started
from handsfree.task.model import Task
from handsfree.task.read import read_task
from tests.engine.conversation import TASK, Conversation
from tests.engine.people_task import PEOPLE, TO_FIRST, TO_TORQUE, TODAY, Crewed
from tests.shipped_tasks import FOLDER

ROOT = Path(__file__).parents[2]
TO_INSPECTION = (*TO_TORQUE, "one five", "affirm")  # in the task of several people


class FollowedConversation(Conversation):
    """A conversation, and the view after each effect of it."""

    def __init__(self, task: Task = TASK) -> None:
        super().__init__(task)
        self.view: BoardView = first_view(task, self.state)
        self.views: list[BoardView] = [self.view]  # since the last utterance

    def send(self, event: Event) -> None:
        super().send(event)
        for effect in self.last:
            self.view = next_view(self.task, self.state, effect, self.view)
            self.views.append(self.view)

    def say(self, *utterances: str) -> "FollowedConversation":
        for words in utterances:
            self.views = []
            super().say(words)
        return self

    def start(self) -> "FollowedConversation":
        super().start()
        return self


class FollowedCrew(Crewed):
    """A run of several people with a board beside it."""

    view: BoardView | None = None

    def send(self, event: Event) -> None:
        super().send(event)
        for effect in self.last:
            before = self.view or first_view(self.task, before_start(self.task))
            self.view = next_view(self.task, self.state, effect, before)

    def value_shown(self) -> tuple[str, Standing, Sign]:
        assert self.view is not None
        assert self.view.value is not None
        return self.view.value.text, self.view.value.standing, self.view.value.mark


def crew_at(*utterances: str) -> BoardView:
    run = FollowedCrew()
    run.say(*utterances)
    assert run.view is not None
    return run.view


def at(*utterances: str) -> FollowedConversation:
    return FollowedConversation().start().say(*utterances)


def at_first_step(task: Task) -> FollowedConversation:
    """Everyone whom the task needs at its start has said who they are."""
    run = FollowedConversation(task)
    run.send(Started(people=PEOPLE, clock=TODAY))
    run.finish_speaking()
    return run.say(*TO_FIRST[: 2 * len(needed(task))])


def shipped(name: str) -> Task:
    return read_task((FOLDER / name).read_text(encoding="utf-8"), name)
