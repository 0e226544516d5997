"""A value that cannot be judged is told of and never taken, whatever its limits rest on."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.entries import ReadingRefused, ReadingTaken
from handsfree.engine.phase import Phase
from handsfree.task.limits.forms import Verdict
from handsfree.task.model import Task
from handsfree.task.source import read_source
from tests.engine.conversation import Conversation
from tests.task.limits_of import task_of, task_text

EVEN = task_of(
    "left torque N.m {min: 10, max: 40}",
    "right torque N.m {min: 10, max: 40}",
    "middle torque N.m {of: {spread: [left, right, this]}, max: 5}",
)
GAS = "{gas: nitrogen, over: first, over_unit: degC, fill: {at: 20 degC, min: 50 bar, max: 60 bar}"


def unchecked(*steps: str) -> Task:
    """A task that no check across its parts has seen, as a mistake of ours could let through."""
    return Task.model_validate(read_source(task_text(*steps), "t.yaml").value)


FIRST = "first temperature degC {max: 900}"
UNCHECKED = {
    "outside the table": unchecked(
        FIRST,
        "last pressure bar "
        "{over: first, table: [{at: 0, min: 1, max: 2}, {at: 9, min: 2, max: 3}]}",
    ),
    "gas not known there": unchecked(FIRST, f"last pressure bar {GAS}, scale: bar gauge}}"),
    "reading never taken": unchecked(
        FIRST, f"last pressure bar {GAS.replace('over: first', 'over: gone')}, scale: bar gauge}}"
    ),
    "wrench too small": unchecked(
        FIRST,
        "last torque N.m {torque: {min: 20 N.m, max: 30 N.m}, wrench: {min: 0 N.m, max: 40 N.m}, "
        "prevailing: {over: first, with_extension: false}}",
    ),
}


def test_bolts_that_are_even_are_taken() -> None:
    run = Conversation(EVEN).start().say("two two", "affirm", "two five", "affirm", "two zero")
    assert run.answer == "Two zero newton metres. Inside limits. Affirm?"


def test_where_nothing_can_be_right_the_value_is_refused_with_the_reason() -> None:
    run = Conversation(EVEN).start().say("two two", "affirm", "two niner", "affirm", "two five")
    assert run.answer == (
        "Two five newton metres. Not accepted. There are no limits for it: "
        "the earlier readings are already too far apart. Say unable, and tell your supervisor."
    )
    assert run.written == [
        ReadingRefused(
            "middle", "25", None, "no limits: the earlier readings are already too far apart"
        )
    ]
    assert run.state.pending is None
    assert run.say("affirm").step == "middle"
    assert run.say("unable", "it is far apart", "data").state.phase is Phase.STANDING_BY


@pytest.mark.parametrize(
    ("task", "why"),
    [
        ("outside the table", "one zero zero is outside the table, zero to niner."),
        (
            "gas not known there",
            "one zero zero degrees celsius is outside what is known of nitrogen, "
            "minus four zero to seven zero degrees celsius.",
        ),
        ("reading never taken", "the reading of gone is missing."),
        (
            "wrench too small",
            "the setting, one two zero to one three zero, is outside what this wrench is "
            "accurate for, eight to four zero newton metres.",
        ),
    ],
)
def test_each_reason_is_spoken_in_plain_words(task: str, why: str) -> None:
    run = Conversation(UNCHECKED[task]).start().say("one zero zero", "affirm", "two five")
    assert f"There are no limits for it: {why} Say unable" in run.answer


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
