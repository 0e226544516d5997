"""What follows from a task is worked out once, and is that of no other task."""

from handsfree.engine.advance import before_start
from handsfree.engine.per_task import PerTask
from handsfree.engine.phase import HIGH_STAKES
from handsfree.engine.phrases_now import phrases_now
from handsfree.task.model import Task
from handsfree.task.read import read_task
from tests.engine.people_task import INES, SEFA, TARN, TASK, TO_LOCK, TO_TORQUE, at
from tests.index.made import TEXT


def test_each_task_has_its_own_result_and_is_asked_about_once() -> None:
    asked: list[str] = []

    def name_of(task: Task) -> str:
        asked.append(task.task)
        return task.task

    names = PerTask(name_of)
    tasks = [TASK.model_copy(update={"task": f"task-{number}"}) for number in range(20)]
    for task in tasks:
        assert (names(task), names(task)) == (task.task, task.task)
    assert asked == [each.task for each in tasks]


def test_a_task_that_takes_the_place_of_another_is_not_taken_for_it() -> None:
    """The number of an object in memory is used again; what is remembered holds its task."""
    names = PerTask(lambda task: task.task)
    for number in range(200):
        task = TASK.model_copy(update={"task": f"task-{number}"})
        assert names(task) == task.task
        del task


def test_the_phrases_of_a_moment_are_one_object_and_differ_between_moments_and_tasks() -> None:
    other = read_task(TEXT, "task.yaml")
    first = phrases_now(TASK, before_start(TASK))
    assert phrases_now(TASK, before_start(TASK)) is first
    at_torque = before_start(TASK).at_step(TASK.index_of["torque"])
    assert phrases_now(TASK, at_torque) != first
    assert phrases_now(other, before_start(other)) != first


def test_what_is_kept_of_a_moment_is_what_would_be_made_anew() -> None:
    """An inspection, a way back and a hand-over, where one word decides, are among the moments."""
    ways = (
        (*TO_LOCK, "lock tied", INES, "affirm", "stand by"),
        (*TO_TORQUE, "back to step three", "negative"),
        (*TO_TORQUE, "hand over", "go ahead", TARN, "affirm", SEFA, "affirm"),
    )
    phases = set()
    for said in ways:
        for many in range(len(said) + 1):
            run = at(*said[:many])
            anew = phrases_now(run.task.model_copy(), run.state)
            assert phrases_now(run.task, run.state) == anew
            phases.add(run.state.phase)
    assert phases > HIGH_STAKES
