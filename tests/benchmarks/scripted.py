"""Somebody who does a task as the tool asks, by a script: what they say next, and what is so.

They say the answer; say it again; say it slowly, each figure by itself; say again what is offered
if it is right, and "negative" if it is not; take back what was read back wrong; say "go ahead"
where the step waits.
"""

import re
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from random import Random

from handsfree.engine.effects import Write
from handsfree.engine.entries import StepConfirmed
from handsfree.engine.phase import Phase
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.state import State
from handsfree.engine.waiting import IdentityHeard, StandingBy, value_in_question
from handsfree.task.expectations import IdentityExpected
from handsfree.task.read import read_task
from handsfree.words.alphabet import speak_characters
from tests.long_task import LongRun
from tests.shipped_tasks import FOLDER

_OFFERED = re.compile(r"I may have heard (.+?)\. If that is right")
_SLOWLY = ("each digit by itself", "one character at a time", "digit by digit", "Each figure")
_LETTERS, _FIGURES = "ABCDEFGHIJKLMNOPQRSTUVWXYZ", "0123456789"


class SpokenRun(LongRun):
    """A run of one of the tasks; numbers that may be any are drawn by the person's name."""

    def __init__(self, task: str, person: str) -> None:
        text = (FOLDER / f"{task}.yaml").read_text(encoding="utf-8")
        super().__init__(read_task(text, task))
        self._person = person

    def expected_answer(self) -> str:
        """See `LongRun.expected_answer`."""
        expected = self.task.steps[self.state.step].expect
        if not isinstance(expected, IdentityExpected) or expected.accept:
            return super().expected_answer()
        draw = Random(f"{self._person}:{self.step}")
        code = draw.choices(_LETTERS, k=2) + draw.choices(_FIGURES, k=2)
        return speak_characters("".join(code)).lower()


@dataclass(frozen=True, slots=True)
class Truth:
    """What a run comes to when everything is heard right."""

    values: Mapping[Hashable, Decimal | str]  # each as it waits for "affirm", see `_question`
    confirmed: Mapping[str, str]  # by step, the words that ended it
    readings: Mapping[str, object]

    @classmethod
    def of(cls, run: SpokenRun) -> "Truth":
        """By the book, to the end."""
        values: dict[Hashable, Decimal | str] = {}
        run.begin()
        while not run.finished:
            value = value_in_question(run.state.waits_for)
            if value is not None:
                values[_question(run)] = value
            run.go_on()
        return cls(values, _confirmed(run), dict(run.state.readings))

    def differences(self, run: SpokenRun) -> list[str]:
        """Where the record of `run` says something else, as far as it goes."""
        readings = dict(run.state.readings)
        return [
            f"{where}: '{said}' in place of '{truth[where]}'"
            for found, truth in ((_confirmed(run), self.confirmed), (readings, self.readings))
            for where, said in found.items()
            if said != truth[where]
        ]


def _question(run: SpokenRun) -> Hashable:
    """The step and what is waited for there, and of whom where there are several."""
    waits_for = run.state.waits_for
    role = waits_for.asked.role if isinstance(waits_for, IdentityHeard) else None
    return run.step, run.state.phase, role


def _confirmed(run: SpokenRun) -> dict[str, str]:
    entries = [each.entry for each in run.effects if isinstance(each, Write)]
    return {
        each.step: each.words.replace("affirmative", "affirm")
        for each in entries
        if isinstance(each, StepConfirmed)
    }


class Person:
    """Who does the task: hears what is said, and knows what is so."""

    def __init__(self, run: SpokenRun, truth: Truth) -> None:
        """`run` is the one that they talk to."""
        self._run = run
        self._truth = truth

    def next_words(self, told: str) -> tuple[str, int, bool]:
        """What is said after the tool has `told` this, on which headset, and whether slowly."""
        run = self._run
        right, channel = run.right()
        if isinstance(run.state.waits_for, StandingBy):
            return "go ahead", channel, False
        offered = _OFFERED.search(told)
        if offered is not None and not self._means_the_same(offered[1], right):
            return "negative", channel, False
        if not self.is_true():
            return "negative", channel, False
        if right == "affirm" and "affirmative" in told.lower():
            right = "affirmative"
        return right, channel, any(each in told for each in _SLOWLY) or "Once more" in told

    def is_true(self) -> bool:
        """Whether what waits for "affirm" is what was said."""
        run = self._run
        value = value_in_question(run.state.waits_for)
        if value is None:
            return True
        # A phrase is read back only where it was not heard surely, so not by the book.
        return value == self._truth.values.get(_question(run), run.expected_answer())

    def came_on(self, before: State) -> bool:
        """Whether the last utterance has ended the question that was open `before`."""
        now = self._run.state
        if isinstance(now.waits_for, StandingBy):
            return False
        if self._run.finished or now.step != before.step:
            return True
        if isinstance(before.waits_for, StandingBy):
            return False  # the question that waited is asked anew
        return now.phase is not before.phase and now.phase is not Phase.OUTSIDE and self.is_true()

    def _means_the_same(self, words: str, right: str) -> bool:
        phrases = phrases_now(self._run.task, self._run.state)
        return phrases.parse(words.split()) == phrases.parse(right.split())
