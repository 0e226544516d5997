"""How surely a task must be heard, as its file states it."""

from decimal import Decimal

import pytest

from handsfree.review.sheet import sheet_of
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from tests.engine.conversation import BOTTLE


def with_hearing(value: str) -> str:
    return BOTTLE.replace("states:\n", f"hearing: {value}\nstates:\n", 1)


def test_the_bound_is_exact_and_the_sheet_tells_it() -> None:
    task = read_task(with_hearing("{wrong_below: 0.001, at_snr: 10}"), "t.yaml")
    assert task.hearing is not None
    assert (task.hearing.wrong_below, task.hearing.at_snr) == (Decimal("0.001"), Decimal(10))
    assert sheet_of(task, "0").hearing == (
        "fewer than 0.001 of all that is said at the steps accepted wrong, with the speech 10 dB "
        "above the noise",
    )


def test_a_task_need_not_state_one() -> None:
    task = read_task(BOTTLE, "t.yaml")
    assert task.hearing is None
    assert sheet_of(task, "0").hearing == ()


@pytest.mark.parametrize(
    ("value", "what"),
    [
        ("{wrong_below: 0, at_snr: 10}", "is not above 0"),
        ("{wrong_below: 1, at_snr: 10}", "is not below 1"),
        ("{wrong_below: 0.01, at_snr: 90}", "is above 60"),
        ("{wrong_below: 0.01}", "key 'at_snr' is missing"),
        ("{wrong_below: 0.01, at_snr: 10, noise: drill}", "unknown key 'noise'"),
    ],
)
def test_a_bound_that_cannot_be_is_told_with_its_place(value: str, what: str) -> None:
    with pytest.raises(TaskFileError, match=what) as error:
        read_task(with_hearing(value), "t.yaml")
    assert "t.yaml:" in str(error.value)
