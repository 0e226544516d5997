"""Events that cannot happen at a moment are refused, each in words that tell the shell's author."""

from datetime import timedelta

import pytest

from handsfree.engine.advance import UnexpectedEvent
from handsfree.engine.events import (
    Event,
    HearingLost,
    HearingReturned,
    SilenceFor,
    Spoken,
    Started,
    TakenUp,
    TimeCame,
    VoiceLost,
)
from handsfree.engine.phase import Phase
from handsfree.task.model import Task
from tests.engine import branching, people_task
from tests.engine.conversation import TASK, TO_END, Conversation, heard

NOW = timedelta(0)
SILENCE = SilenceFor(timedelta(seconds=30), NOW)


def ready(task: Task = TASK) -> Conversation:
    return Conversation(task)


def speaking() -> Conversation:
    run = ready()
    run.send(Started())
    return run


def listening() -> Conversation:
    return ready().start()


def finished() -> Conversation:
    return listening().say(*TO_END, "pin removed")


@pytest.mark.parametrize(
    ("run", "event", "why"),
    [
        (listening(), Started(), "the task has already been started"),
        (
            ready(people_task.TASK),
            Started(),
            "a task with an inspection needs a roster",
        ),
        (
            ready(branching.TASK),
            Started(),
            "{} is not one value for each of {'side': ('left', 'right')}",
        ),
        (
            ready(branching.TASK),
            Started(variants=(("side", "upper"),)),
            "{'side': 'upper'} is not one value for each of {'side': ('left', 'right')}",
        ),
        (
            ready(),
            Started(variants=(("side", "left"),)),
            "{'side': 'left'} is not one value for each of {}",
        ),
        (ready(), heard("affirm"), "nothing is listened for while ready"),
        (finished(), heard("affirm"), "nothing is listened for while finished"),
        *(
            (run, event, why)
            for event, why in (
                (SILENCE, "nobody was listened to, so nobody was silent"),
                (HearingLost("it is off"), "nothing is listened for now"),
                (HearingReturned(), "nothing is listened for now"),
            )
            for run in (ready(), speaking(), finished())
        ),
        (listening(), HearingReturned(), "the hearing was not lost"),
        (ready(), TakenUp(NOW), "a task that has not begun cannot be taken up"),
        *(
            (run, event, "nothing was being said")
            for event in (Spoken(), VoiceLost("it is off"))
            for run in (ready(), listening(), finished())
        ),
        *(
            (run, TimeCame(NOW), "no time was to be told")
            for run in (ready(), speaking(), listening(), finished())
        ),
    ],
)
def test_it_is_refused_with_the_reason(run: Conversation, event: Event, why: str) -> None:
    with pytest.raises(UnexpectedEvent) as refused:
        run.send(event)
    assert str(refused.value) == why


def test_the_phases_are_called_as_reports_of_rehearsals_have_them() -> None:
    """A moment of a rehearsal is a step and a phase; what was kept of it is found by its name."""
    assert [each.value for each in Phase] == [
        *("ready", "answering", "confirming", "outside", "deferring", "referencing"),
        *("deferral heard", "second", "identifying", "identity heard", "inspecting", "remarking"),
        *("categorising", "checking states", "going back", "standing by", "finished"),
    ]
