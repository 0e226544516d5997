"""The questions of a proof: what must hold on every way, and the ways on which it does not."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from handsfree.task.conditions import UNKNOWN, describe, holds, may_hold
from handsfree.task.course import Position, rests_on
from handsfree.task.model import Task
from handsfree.task.proof.causes import (
    how_left,
    where_it_rests,
    why_not_done,
)
from handsfree.task.proof.explore import Cone, Leg, Walk
from handsfree.task.proof.mistake import Mistake
from handsfree.task.proof.reaching import Reaches
from handsfree.task.source import Path
from handsfree.task.states import NeverRule
from handsfree.task.step import Step


@dataclass(frozen=True, slots=True)
class _NeverHolds:
    """A never rule holds at no moment."""

    rule: NeverRule

    @property
    def about(self) -> Cone:
        return Cone(states=frozenset(self.rule.when))

    def mistakes(self, task: Task, found: Walk) -> Iterator[Mistake]:
        """Once for each way out of a step that breaks the rule."""
        for position, leg in found.came_by.items():
            if leg is None and self._holds(dict(position.states)):
                yield self._mistake(task, ("states",), "at the start this must never be", ())
                break
        told: set[tuple[int, str]] = set()
        for leg, reached in found.legs:
            step, way = task.steps[leg.left.step], leg.way
            if (leg.left.step, way.outcome) in told or not way.sets.keys() & self.rule.when.keys():
                continue
            before, after = dict(leg.left.states), dict(reached.states)
            if self._lacks_what_it_needs(step, before):
                continue  # what the step needs is a mistake of its own, and is told as that
            instead = "Mend the order of the steps"
            if self._holds(after) and not self._holds(before):
                what = f"after step '{step.id}' this must never be"
            elif unseen := self._acted_unseen(before, after):
                what = f"step '{step.id}' acts while '{unseen}' is unknown; this must never be"
                instead = f"Add an earlier step that proves '{unseen}'"
            else:
                continue
            told.add((leg.left.step, way.outcome))
            path = _path_of_sets(task, leg, self.rule)
            yield self._mistake(task, path, what, (*found.way_to(leg.left), leg), instead)

    def _lacks_what_it_needs(self, step: Step, states: Mapping[str, str]) -> bool:
        needs = (each for each in step.needs.items() if each[0] in self.rule.when)
        return any(not holds(condition, states[name]) for name, condition in needs)

    def _holds(self, states: dict[str, str]) -> bool:
        return all(holds(each, states[name]) for name, each in self.rule.when.items())

    def _acted_unseen(self, before: dict[str, str], after: dict[str, str]) -> str | None:
        """The state that lets the rule hold unseen, where another state of the rule was set.

        Whether a step looks at a thing or moves it, the file does not say. So what is dangerous
        together must be proved from its safe side first.
        """
        acted = any(before[name] != after[name] for name in self.rule.when)
        may = all(may_hold(each, after[name]) for name, each in self.rule.when.items())
        if not (acted and may):
            return None
        return next((name for name in self.rule.when if after[name] == UNKNOWN), None)

    def _mistake(
        self,
        task: Task,
        path: Path,
        what: str,
        way: tuple[Leg, ...],
        instead: str = "Mend the order of the steps",
    ) -> Mistake:
        held = ", ".join(f"{name} {describe(each)}" for name, each in self.rule.when.items())
        because = f"{what}: {held}; because {self.rule.because}"
        cause = _left_undone(task, way[:-1], tuple(self.rule.when)).removeprefix(": ")
        because += f" ({cause})" if cause else ""
        return Mistake(path, because, instead, way, self.about)


def _left_undone(task: Task, way: tuple[Leg, ...], names: tuple[str, ...]) -> str:
    """The last step on a way that would have set one of these states and was left undone."""
    for leg in reversed(way):
        step = task.steps[leg.left.step]
        if not step.sets.keys().isdisjoint(names):
            return "" if leg.way.done else f": step '{step.id}' {how_left(leg)}"
    return ""


def _path_of_sets(task: Task, leg: Leg, rule: NeverRule) -> Path:
    """Where the file says what this way sets."""
    at, outcome = leg.left.step, leg.way.outcome
    step = task.steps[at]
    named = rule.when.keys()
    if outcome in step.then and step.then[outcome].sets.keys() & named:
        return ("steps", at, "then", outcome, "sets")
    if leg.way.done:
        return ("steps", at, "sets")
    return ("steps", at, "deferral", "sets")


@dataclass(frozen=True, slots=True)
class _StateFits:
    """A state is what each step needs, and what the task must leave."""

    name: str

    @property
    def about(self) -> Cone:
        return Cone(states=frozenset({self.name}))

    def mistakes(self, task: Task, found: Walk) -> Iterator[Mistake]:
        """Once for each step, and for the end; not again on the ways that lead on from there."""
        told: set[int] = set()
        needed = [step.needs.get(self.name) for step in task.steps]
        follows: set[Position] = set()  # positions that only a mistake told before leads to
        for position, leg in found.came_by.items():
            at = position.step
            if leg is not None and leg.left in follows:
                follows.add(position)
                continue
            if leg is None and at == len(task.steps):
                continue  # a task with nothing to do is told by `Reaches`
            need = task.states[self.name].end if at == len(task.steps) else needed[at]
            if need is None:
                continue
            value = dict(position.states)[self.name]
            if holds(need, value):
                continue
            follows.add(position)
            if at in told:
                continue
            told.add(at)
            way = found.way_to(position)
            if at == len(task.steps):
                yield Mistake(
                    ("states", self.name, "end"),
                    f"'{self.name}' must end {describe(need)}, but it can end {value}"
                    f"{_left_undone(task, way, (self.name,))}",
                    "Add the step that sets it",
                    way,
                    self.about,
                )
            else:
                yield Mistake(
                    ("steps", at, "needs", self.name),
                    f"step '{task.steps[at].id}' needs '{self.name}' {describe(need)}, "
                    f"but by then it can be {value}{_left_undone(task, way, (self.name,))}",
                    "Set it in an earlier step, or mend the order",
                    way,
                    self.about,
                )


@dataclass(frozen=True, slots=True)
class _CountFits:
    """Things that are counted are never more or fewer than there are, and all accounted for."""

    name: str

    @property
    def about(self) -> Cone:
        return Cone(counts=frozenset({self.name}))

    def mistakes(self, task: Task, found: Walk) -> Iterator[Mistake]:
        """Once for each step, and once for each number at the end."""
        item = task.counted[self.name]
        told: set[int] = set()
        for leg, reached in found.legs:
            out = dict(reached.counts)[self.name]
            before = dict(leg.left.counts)[self.name]
            if 0 <= out <= item.total or out == before or leg.left.step in told:
                continue
            told.add(leg.left.step)
            step, more = task.steps[leg.left.step], leg.way.counts[self.name]
            key, some = (
                ("counts_in", f"{before} can be out")
                if out < 0
                else (
                    "counts_out",
                    f"{item.total - before} can be left",
                )
            )
            yield Mistake(
                ("steps", leg.left.step, key, self.name),
                f"step '{step.id}' counts {abs(more)} {item.called} "
                f"{'in' if out < 0 else 'out'}, but by then only {some}",
                "Mend the numbers, or the order of the steps",
                (*found.way_to(leg.left), leg),
                self.about,
            )
        ended: set[int] = set()
        for position, led in found.came_by.items():
            if led is None:
                continue  # a run that is at its end from the start has nothing to count
            out = dict(position.counts)[self.name]
            possible = 0 <= out <= item.total
            if position.step == len(task.steps) and possible and out not in (*ended, item.end):
                ended.add(out)
                yield Mistake(
                    ("counted", self.name, "end"),
                    f"{item.end} {item.called} must be out at the end, but it can be {out}",
                    "Add the step that counts them",
                    found.way_to(position),
                    self.about,
                )


@dataclass(frozen=True, slots=True)
class _IsAnswered:
    """A step that others rest on was done before each of them."""

    step: str

    @property
    def about(self) -> Cone:
        return Cone(answered=frozenset({self.step}))

    def mistakes(self, task: Task, found: Walk) -> Iterator[Mistake]:
        """Once for each step that rests on it."""
        told: set[int] = set()
        for position in found.came_by:
            if position.step == len(task.steps) or position.step in told:
                continue
            step = task.steps[position.step]
            if self.step in rests_on(task, step) and not dict(position.answered)[self.step]:
                told.add(position.step)
                way = found.way_to(position)
                yield Mistake(
                    ("steps", position.step, *where_it_rests(step, self.step)),
                    f"step '{step.id}' rests on step '{self.step}', which may not be done by then: "
                    f"{why_not_done(task, self.step, way)}",
                    f"Lead every way to it through '{self.step}'",
                    way,
                    self.about,
                )


Question = Reaches | _NeverHolds | _StateFits | _CountFits | _IsAnswered


def questions_about(task: Task) -> list[Question]:
    """All that must hold on every way through `task`."""
    rested_on = dict.fromkeys(each for step in task.steps for each in rests_on(task, step))
    return [
        Reaches(),
        *(_NeverHolds(rule) for rule in task.never),
        *(_StateFits(name) for name in task.states),
        *(_CountFits(name) for name in task.counted),
        *(_IsAnswered(each) for each in rested_on),
    ]
