"""The question where a task leads: to the end from everywhere, to every step, and by no guess."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from handsfree.task.course import Position, undecided
from handsfree.task.model import Task
from handsfree.task.proof.causes import (
    led_over,
    loop_closed_by,
    outcome_of,
    path_of_exit,
    steps_after,
)
from handsfree.task.proof.explore import Cone, Walk
from handsfree.task.proof.mistake import Mistake
from handsfree.task.source import Path


@dataclass(frozen=True, slots=True)
class Reaches:
    """The end can be reached from everywhere, every step can be reached, and no step is a guess."""

    @property
    def about(self) -> Cone:
        """No state: only where the steps lead."""
        return Cone()

    def mistakes(self, task: Task, found: Walk) -> Iterator[Mistake]:
        """The nearest position that no way leads on from; the steps that no way reaches.

        A step that is only not reached because of another one told here is left out.
        """
        steps = task.steps
        asks = any(step.expect is not None for step in steps)
        only_said = {a.left: b for a, b in found.legs if steps[a.left.step].expect is None}
        for start in (each for each, leg in found.came_by.items() if leg is None):
            if asks and self._leaves_nothing(task, only_said, start):
                yield self._nothing_to_do(task, start)
        stuck = self._stuck(task, found)
        if stuck is not None:
            # What the loop keeps a run from follows, or shows once the loop is mended.
            yield self._loop(task, found, stuck)
        else:
            yield from self._not_reached(task, found)
        guessed: set[tuple[int, str]] = set()
        for position in found.came_by:
            name = undecided(task, position)
            if name is not None and (position.step, name) not in guessed:
                guessed.add((position.step, name))
                yield Mistake(
                    ("steps", position.step, "applies", name),
                    f"'{name}' decides whether step '{task.steps[position.step].id}' applies, "
                    "but by then it can be unknown",
                    f"Add an earlier step that proves '{name}'",
                    found.way_to(position),
                    Cone(states=frozenset({name})),
                )

    def _loop(self, task: Task, found: Walk, stuck: Position) -> Mistake:
        leg = loop_closed_by(found, stuck)
        exit_ = outcome_of(task.steps[leg.left.step], leg)
        return Mistake(
            path_of_exit(task, leg),
            f"from step '{task.steps[stuck.step].id}' no way leads to the end: {exit_} leads back "
            f"to '{leg.way.go}' for ever",
            "Lead on from there, or from another outcome between the two",
            found.way_to(stuck),
            self.about,
        )

    def _not_reached(self, task: Task, found: Walk) -> Iterator[Mistake]:
        """Each step that no way reaches, but for those that follow from another one."""
        reached = {position.step for position in found.came_by}
        follow_from_told: set[int] = set()
        for at, step in enumerate(task.steps):
            if at not in reached and at not in follow_from_told:
                follow_from_told |= steps_after(task, at)
                yield Mistake(
                    ("steps", at, "id"),
                    f"no way leads to step '{step.id}'{led_over(task, found, at)}",
                    "Delete it, or lead to it from a 'then'",
                    (),
                    self.about,
                )

    def _leaves_nothing(
        self, task: Task, only_said: Mapping[Position, Position], start: Position
    ) -> bool:
        """Whether a run from `start` ends before anybody has been asked for anything."""
        passed: set[Position] = set()
        position = start
        while position.step < len(task.steps):
            if position in passed or task.steps[position.step].expect is not None:
                return False
            passed.add(position)
            position = only_said[position]
        return True

    def _nothing_to_do(self, task: Task, start: Position) -> Mistake:
        where = " and ".join(f"'{name}' is {value}" for name, value in start.variants)
        path: Path = ("steps",)
        if start.variants:
            name, value = start.variants[0]
            path = ("variants", name, task.variants[name].index(value))
        return Mistake(
            path,
            f"where {where} no step is left to do" if where else "no step is left to do",
            "Add the steps for it, or delete the value" if where else "Mend 'applies'",
            (),
            self.about,
        )

    def _stuck(self, task: Task, found: Walk) -> Position | None:
        """The nearest position that the end cannot be reached from."""
        sources: dict[Position, list[Position]] = {}
        for leg, reached in found.legs:
            sources.setdefault(reached, []).append(leg.left)
        can_end = {each for each in found.came_by if each.step == len(task.steps)}
        waiting = list(can_end)
        while waiting:
            for source in sources.get(waiting.pop(), ()):
                if source not in can_end:
                    can_end.add(source)
                    waiting.append(source)
        return next((each for each in found.came_by if each not in can_end), None)
