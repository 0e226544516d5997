"""A value that cannot be judged is told of and never taken, whatever its limits rest on."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.effects import Speech
from handsfree.engine.entries import ReadingRefused, ReadingTaken
from handsfree.engine.phase import Phase
from handsfree.task.limits.forms import Verdict
from handsfree.task.model import Task
from handsfree.task.read import read_task
from tests.engine.conversation import Conversation
from tests.engine.no_limits import EVEN, UNCHECKED, UNEVEN


def test_bolts_that_are_even_are_taken() -> None:
    run = Conversation(EVEN).start().say("two two", "affirm", "two five", "affirm", "two zero")
    assert run.did == [ReadingTaken, Speech.READ_BACK, Speech.QUESTION]


def test_where_nothing_can_be_right_the_value_is_refused_with_the_reason() -> None:
    run = Conversation(EVEN).start().say("two two", "affirm", "two niner", "affirm", "two five")
    assert run.did == [ReadingRefused, Speech.READ_BACK, Speech.QUESTION]
    assert run.written == [
        ReadingRefused(
            "middle", "25", None, "no limits: the earlier readings are already too far apart"
        )
    ]
    assert run.state.pending is None
    assert run.say("affirm").step == "middle"
    assert run.say("unable", "it is far apart", "data").state.phase is Phase.STANDING_BY


@pytest.mark.parametrize("task", UNCHECKED.values(), ids=UNCHECKED)
def test_a_value_whose_limits_are_not_known_is_refused_and_the_reason_said(task: Task) -> None:
    run = Conversation(task).start().say("one zero zero", "affirm", "two five")
    assert run.did == [ReadingRefused, Speech.READ_BACK, Speech.QUESTION]
    assert run.say("affirm").step == "last"


def test_the_first_of_two_values_is_not_said_aloud_where_it_cannot_be_judged() -> None:
    text = UNEVEN.replace("- id: middle\n", "- id: middle\n    read_back: true\n")
    run = Conversation(read_task(text, "t.yaml")).start()
    run.say("two two", "affirm", "two niner", "affirm", "two five")
    assert run.answer.startswith("Not accepted. There are no limits for it:")
    assert "five" not in run.say("read back").answer


SAID = st.lists(
    st.sampled_from(
        ("one zero zero", "two five", "minus four zero", "correction two six", "affirm")
    ),
    max_size=12,
)


@given(st.sampled_from([EVEN, *UNCHECKED.values()]), SAID)
def test_no_order_of_readings_raises_or_goes_on_without_limits(task: Task, said: list[str]) -> None:
    run = Conversation(task).start()
    for words in said:
        if run.finished:
            return
        before = run.state
        run.say(words)
        refused = any(isinstance(each, ReadingRefused) for each in run.written)
        if refused:
            assert (run.state.step, run.state.readings) == (before.step, before.readings)
            assert run.state.pending is None
        for each in run.written:
            if isinstance(each, ReadingTaken) and each.verdict is Verdict.INSIDE:
                assert each.lowest is not None or each.highest is not None
