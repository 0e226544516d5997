"""Two whole tasks, written as a first author would, done to the end on good ways and bad."""

from collections.abc import Mapping
from datetime import timedelta
from pathlib import Path

import pytest

from handsfree.engine.effects import Write
from handsfree.engine.entries import (
    FindingOpened,
    ReadingTaken,
    StatementsDiffer,
    StepConfirmed,
    StepLeft,
    TaskEnded,
)
from handsfree.task.limits.forms import Verdict
from handsfree.task.model import Task
from handsfree.task.read import read_task
from tests.engine.people_task import INSPECTED, TO_FIRST, Crewed

HERE = Path(__file__).parent
WHEEL = read_task((HERE / "wheel-and-brake.yaml").read_text(encoding="utf-8"), "wheel.yaml")
LEAK = read_task((HERE / "leak-check.yaml").read_text(encoding="utf-8"), "leak.yaml")
DUE = "three one december two zero three one"

WHEEL_SAID: dict[str, tuple[str, ...]] = {
    "data-revision": ("three two four one dash zero three", "affirm"),
    "tools-out": ("three", "affirm"),
    "left-label": ("left leg",),
    "right-label": ("right leg",),
    "wrench-number": ("whiskey one two", "affirm"),
    "wrench-due": (DUE, "affirm"),
    "set-chocks": ("chocks are set",),
    "release-brake": ("zero pounds", "affirm"),
    "jack-up": ("wheel is free",),
    "remove-wheel": ("wheel is off",),
    "wear-pin": ("four decimal five", "affirm"),
    "remove-brake": ("brake unit is off",),
    "brake-number": ("quebec bravo two two zero four", "affirm"),
    "fit-brake": ("new brake unit is on", *INSPECTED),
    "brake-bolt-upper": ("five seven newton meters", "affirm"),
    "brake-bolt-lower": ("five six", "affirm"),
    "clean-axle": ("axle is clean",),
    "wheel-number": ("quebec whiskey hyphen seven seven one six", "affirm"),
    "fit-wheel": ("new wheel is on", *INSPECTED),
    "seat-nut": ("one three five foot pounds", "affirm"),
    "nut-torque": ("six zero", "second six zero", "affirm"),
    "temperature": ("two zero", "affirm"),
    "tyre-pressure": ("one niner seven p s i", "affirm"),
    "jack-down": ("axle is down",),
    "tools-in": ("three", "affirm"),
    "take-chocks": ("chocks are away",),
}
LEAK_SAID: dict[str, tuple[str, ...]] = {
    "wrench-number": ("whiskey one two", "affirm"),
    "wrench-due": (DUE, "affirm"),
    "tighten": ("two eight five pound force inches", "affirm"),
    "start-pump": ("pump runs",),
    "before": ("three thousand", "affirm"),
    "after": ("two niner five zero", "affirm"),
    "stop-to-mend": ("pump stands still",),
    "loosen": ("seal is torn",),
    "new-seal": ("new seal is in",),
    "drops": ("one drop per minute", "affirm", *INSPECTED),
    "stop-pump": ("pump is stopped",),
}


class Hangar(Crewed):
    """A run of one of the two tasks by people of a roster, who are here already."""

    def __init__(self, task: Task, said: Mapping[str, tuple[str, ...]], **variants: str) -> None:
        super().__init__(task, with_roster=True, **variants)
        self.said = said
        self.say(*TO_FIRST)

    def to(self, step: str) -> "Hangar":
        """On, with the right answers, until the run stands at `step`."""
        for _ in range(100):
            if self.finished or self.step == step:
                return self
            self.right()
        raise AssertionError(f"never came to {step}")

    def right(self) -> "Hangar":
        if self.task.steps[self.state.step].wait is not None:
            self.after(timedelta(minutes=11))
        self.say(*self.said[self.step])
        return self

    def to_end(self) -> "Hangar":
        self.to("nowhere, but to the end")
        assert self.finished
        return self

    def entries(self, kind: type) -> list[object]:
        return [
            each.entry
            for each in self.effects
            if isinstance(each, Write) and isinstance(each.entry, kind)
        ]

    @property
    def confirmed(self) -> list[str]:
        return [each.step for each in self.entries(StepConfirmed)]  # type: ignore[attr-defined] # StepConfirmed


def wheel(side: str = "left") -> Hangar:
    return Hangar(WHEEL, WHEEL_SAID, side=side)


def leak() -> Hangar:
    return Hangar(LEAK, LEAK_SAID)


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_wheel_is_changed_to_the_end(side: str) -> None:
    run = wheel(side).to_end()
    assert f"{side}-label" in run.confirmed
    assert "remove-brake" not in run.confirmed
    assert run.answer.startswith("Chocks are away. Every step on this way is confirmed.")


def test_a_worn_brake_is_replaced_as_planned_and_nothing_is_left_open() -> None:
    run = wheel().to("wear-pin").say("one decimal five", "affirm")
    assert run.step == "remove-brake"
    run.to_end()
    (left,) = run.entries(StepLeft)
    assert left == StepLeft("wear-pin", "below", "affirm", (), planned=True)
    (ended,) = run.entries(TaskEnded)
    assert isinstance(ended, TaskEnded)
    assert ended.findings == ()
    assert "is not done" not in run.answer
    assert run.entries(FindingOpened) == []
    assert [each for each in run.confirmed if each.startswith("brake-bolt")] == [
        "brake-bolt-upper",
        "brake-bolt-lower",
    ]


@pytest.mark.parametrize(
    ("step", "words", "told"),
    [
        ("data-revision", ("three two four one zero two",), "Read it again"),
        ("left-label", ("right leg",), ""),
        ("wrench-due", ("one may two zero three one",), "Out of date"),
        ("set-chocks", ("wheel is free",), ""),
        ("release-brake", ("five zero pounds of",), ""),
        ("release-brake", ("two hundred p s i", "affirm"), "Above maximum, five zero"),
        ("release-brake", ("zero bar",), "I heard bar"),
        ("wheel-number", ("quebec whiskey seven seven one niner",), "Read it again"),
        ("seat-nut", ("one three five inch pounds",), "I heard inch pounds"),
        ("seat-nut", ("one three five pounds",), "I heard pounds force, which is force"),
        ("nut-torque", ("six zero", "second six five"), "The two differ"),
        ("tyre-pressure", ("two one four", "affirm"), "Above maximum, two zero one"),
        ("tools-in", ("two", "affirm"), "one missing"),
    ],
)
def test_a_wrong_answer_stays_at_the_step_and_the_right_one_goes_on(
    step: str, words: tuple[str, ...], told: str
) -> None:
    run = wheel().to(step)
    for each in words:
        run.say(each)
        if told in run.answer and told:
            break
    assert told in run.answer
    assert run.step == step
    assert run.to_end()


def test_two_values_that_differ_are_both_written() -> None:
    run = wheel().to("nut-torque").say("six zero", "second five five")
    assert len(run.entries(StatementsDiffer)) == 1
    assert run.to_end().confirmed.count("nut-torque") == 1


def test_a_rejected_wheel_is_fitted_again() -> None:
    run = wheel().to("fit-wheel").say("new wheel is on", INSPECTED[0], "affirm", "rejected")
    run.say("it does not touch the flange")
    assert run.step == "fit-wheel"
    assert run.to_end()


def test_no_leak_is_found() -> None:
    run = leak().to_end()
    assert run.entries(StepLeft) == []
    assert "Fitting tight." in run.answer


def test_a_drop_that_is_too_large_comes_to_its_rework_and_the_second_check_ends_the_task() -> None:
    """The drop of 120 psi."""
    run = leak().to("after").after(timedelta(minutes=11)).say("two eight eight zero")
    assert run.answer == (
        "Two eight eight zero p s i. Difference one two zero. Above maximum, one zero zero. "
        "This leads to step seven. Affirm?"
    )
    run.say("affirm")
    assert run.step == "stop-to-mend"
    run.to_end()
    assert run.confirmed.count("tighten") == 2
    taken = [each for each in run.entries(ReadingTaken) if isinstance(each, ReadingTaken)]
    drop = next(each for each in taken if each.step == "after")
    assert (drop.verdict, drop.judged, drop.lowest) == (Verdict.ABOVE, "difference 120", "2900")


def test_a_pressure_below_its_own_limit_says_so_and_not_the_drop() -> None:
    run = leak().to("after").after(timedelta(minutes=11)).say("two six five zero")
    assert "Below minimum, two seven zero zero." in run.answer
    assert "Difference" not in run.answer


def test_a_reading_before_its_time_is_not_taken() -> None:
    run = leak().to("after").say("two niner five zero")
    assert "Too early" in run.answer
    assert run.step == "after"
    assert run.to_end()


def test_a_reading_after_its_time_is_measured_anew() -> None:
    run = leak().to("after").after(timedelta(minutes=31)).say("two niner five zero")
    assert run.step == "before"
    assert run.to_end().confirmed.count("before") == 2


def test_drops_lead_to_rework_too() -> None:
    run = leak().to("drops").say("five drops per minute", "affirm")
    assert run.step == "stop-to-mend"
    assert run.to_end()
