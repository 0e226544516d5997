"""Other words for the phrases that are heard worst, each tried by rehearsing it.

A candidate is tried at one ratio of speech to noise only, for each costs as much as its step did.
The phrase that was heard worst was in part unlucky, and the candidate that was heard best in part
lucky. So neither is told by what chose it: both are heard again by another seed, more often, and a
change is only told where all of the interval of the difference is an improvement.
It is made of what the task already says, in this order: the name of the state and its value,
another word for what was done, and the words of the phrase in another order. Those that sound like
any other phrase of the task, or like a word of the tool, are left out.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from pydantic import ValidationError

from handsfree.errors import Misuse
from handsfree.rehearse.alike import confusable_phrases
from handsfree.rehearse.hearings import Hearings
from handsfree.rehearse.plan import Settings, Trial, number, trials_of
from handsfree.rehearse.report import Results, Rewording
from handsfree.rehearse.sayings import Kind
from handsfree.rehearse.tallies import results_of
from handsfree.rehearse.trials import Stage, Tried, planned, stage_of, tried
from handsfree.task.checks.phrases import phrases_of
from handsfree.task.expectations import ChoiceExpected, ConfirmExpected, fixed_answers
from handsfree.task.model import Task
from handsfree.task.step import Step

_WORST = 3  # phrases that another wording is looked for
_TRIED_EACH = 2  # candidates of each
_LEAST_TROUBLED = 0.05  # a phrase that is asked for less often is good enough
_JUDGED_BY = 3  # times as many answers as it was chosen by. Judgement: fewer can show little
# What a wrong one weighs, in questions: see WRONG_STATE in `engine/trust.py`.
_WRONG_WEIGHS = 20
_INSTEAD = {
    "open": ("opened", "fully open"),
    "closed": ("shut", "fully closed"),
    "on": ("running", "working"),
    "off": ("stopped",),
    "in": ("fitted",),
    "out": ("removed",),
    "clear": ("free",),
    "safe": ("at safe",),
    "armed": ("at armed",),
    "tied": ("tied up",),
    "connected": ("joined",),
    "fitted": ("installed",),
    "removed": ("taken off",),
    "released": ("gone",),
    "valid": ("in date",),
}


class WordingRefused(Misuse):
    """The other phrase cannot stand in the task."""

    def __init__(self, step: str, phrase: str, why: str) -> None:
        super().__init__(f"--try {step}='{phrase}': {why}.")


def reworded(task: Task, step_id: str, before: str, after: str) -> Task:
    """`task` with another phrase in one step; raises WordingRefused."""
    if step_id not in task.index_of:
        raise WordingRefused(step_id, after, f"the task has no step '{step_id}'")
    step = task.steps[task.index_of[step_id]]
    try:
        match step.expect:
            case ConfirmExpected():
                expect: ConfirmExpected | ChoiceExpected = ConfirmExpected(confirm=after)
            case ChoiceExpected(choose=phrases, required=required):
                expect = ChoiceExpected(
                    choose=tuple(after if each == before else each for each in phrases),
                    required=after if required == before else required,
                )
            case _:
                raise WordingRefused(step_id, after, "that step is not answered by a phrase")
    except ValidationError as error:
        context = error.errors()[0].get("ctx", {})
        why = str(context.get("what", "lower case words with single spaces must stand there"))
        raise WordingRefused(step_id, after, why) from error
    then = {after if name == before else name: leads for name, leads in step.then.items()}
    steps = tuple(
        each.model_copy(update={"expect": expect, "then": then}) if each is step else each
        for each in task.steps
    )
    return task.model_copy(update={"steps": steps})


def other_wording(stage: Stage, step_id: str, after: str) -> tuple[str, Task]:
    """The first phrase of a step, and the task with another one in its place.

    Raises WordingRefused, also where the other one sounds like any phrase of the task.
    """
    answers = {each.id: fixed_answers(each.expect) for each in stage.task.steps}
    phrases = answers.get(step_id, ())
    before = phrases[0] if phrases else ""
    task = reworded(stage.task, step_id, before, after)
    if after in confusable_phrases(task) and before not in stage.confusable:
        raise WordingRefused(step_id, after, "it sounds like another phrase of the task")
    return before, task


@dataclass(frozen=True, slots=True)
class Wordings:
    """Other wordings of a task that was rehearsed."""

    stage: Stage
    found: Sequence[Tried]
    settings: Settings
    snr_db: float  # at which they are tried
    hearings: Hearings
    plan_to_hear: Callable[[int], None]
    _changed: dict[tuple[str, str, str], Stage] = field(default_factory=dict)

    def tried(self, step_id: str, after: str) -> Rewording:
        """The step with its first phrase, and with another; raises WordingRefused."""
        before, _ = other_wording(self.stage, step_id, after)
        return self._judged(step_id, before, after)

    def best(self, most: int) -> list[Rewording]:
        """The changes that help most, each tried; fewer where fewer are shown to help."""
        if not most:
            return []
        tries = [
            self._chosen(step.id, before, after)
            for step, before in _worst(self.stage, self.found)
            for after in _candidates(self.stage, step, before)[:_TRIED_EACH]
        ]
        promising = sorted((each for each in tries if gain(each) > 0), key=lambda each: -gain(each))
        best: dict[str, Rewording] = {}
        for each in promising:
            best.setdefault(each.before, each)
        judged = [
            self._judged(each.step, each.before, each.after) for each in list(best.values())[:most]
        ]
        return sorted((each for each in judged if each.helps), key=lambda each: -gain(each))

    def _chosen(self, step: str, before: str, after: str) -> Rewording:
        """By the sayings of this rehearsal, which tell which change is worth more of them."""
        was = [
            each
            for each in self.found
            if each.trial.scene.snr_db == self.snr_db
            and _is_about(each.trial, each.moment.step, step, before)
        ]
        at_one = replace(self.settings, snrs_db=(self.snr_db,))
        changed = self._stage(step, before, after)
        return Rewording(
            step=step,
            before=before,
            after=after,
            results_before=results_of(was),
            results_after=results_of(self._all_about(changed, at_one, step, after)),
        )

    def _judged(self, step: str, before: str, after: str) -> Rewording:
        """By sayings that had no part in choosing it."""
        fresh = replace(
            self.settings,
            snrs_db=(self.snr_db,),
            seed=number(f"{self.settings.seed}: to judge other words"),
        )
        changed = self._stage(step, before, after)
        was = self._all_about(self.stage, fresh, step, before)
        then = self._all_about(changed, fresh, step, after)
        return Rewording(
            step=step,
            before=before,
            after=after,
            results_before=results_of(was),
            results_after=results_of(then),
            answers_before=self._answers(self.stage, fresh, step),
            answers_after=self._answers(changed, fresh, step),
        )

    def _stage(self, step: str, before: str, after: str) -> Stage:
        name = step, before, after
        if name not in self._changed:
            self._changed[name] = stage_of(reworded(self.stage.task, *name))
        return self._changed[name]

    def _all_about(self, stage: Stage, settings: Settings, step: str, phrase: str) -> list[Tried]:
        """All in which the phrase of a step has a part, answers and mistakes."""
        trials = [
            each
            for each in planned(stage, settings)
            if _is_about(each, stage.moments[each.moment].step, step, phrase)
        ]
        return self._heard(stage, trials)

    def _answers(self, stage: Stage, settings: Settings, step: str) -> Results:
        """The answers to the step alone: as many of each phrase, so that they can be compared."""
        more = replace(settings, runs=_JUDGED_BY * settings.runs)
        trials = trials_of(stage.task, stage.moments, more, step)
        return results_of(self._heard(stage, [each for each in trials if each.kind is Kind.ANSWER]))

    def _heard(self, stage: Stage, trials: Sequence[Trial]) -> list[Tried]:
        self.plan_to_hear(len(trials))
        return tried(stage, trials, self.hearings)


def _is_about(trial: Trial, at: str, step: str, phrase: str) -> bool:
    """Whether the phrase of a step has a part in it: as its answer, or as a mistake anywhere."""
    return trial.kind is not Kind.TALK and (at == step or phrase in trial.scene.words)


def gain(change: Rewording) -> float:
    """By how much the trouble of a saying falls."""
    return trouble(change.results_before) - trouble(change.results_after)


def trouble(results: Results) -> float:
    """What a saying costs on the mean, in needless questions."""
    cost = results.asked + _WRONG_WEIGHS * results.wrong
    return cost / results.of if results.of else 0.0


def _worst(stage: Stage, found: Sequence[Tried]) -> list[tuple[Step, str]]:
    """The phrases that give most trouble, with the first step that they answer."""
    places: dict[str, Step] = {}
    for step in stage.task.steps:
        for phrase in fixed_answers(step.expect):
            if not step.each:
                places.setdefault(phrase, step)
    troubled = []
    for phrase, step in places.items():
        # A mistake that was taken for the phrase is its fault as well.
        about = [
            each
            for each in found
            if each.trial.scene.words == phrase
            or (each.moment.step == step.id and each.judged.heard == phrase)
        ]
        troubled.append((trouble(results_of(about)), phrase, step))
    troubled.sort(key=lambda each: (-each[0], each[1]))
    return [(step, phrase) for much, phrase, step in troubled[:_WORST] if much > _LEAST_TROUBLED]


def _candidates(stage: Stage, step: Step, before: str) -> list[str]:
    """Other phrases that the task could have here, none of which sounds like another one."""
    task = stage.task
    known = {before, *phrases_of(task)}
    fitting = []
    for each in dict.fromkeys(_other_words(task, step, before)):
        try:
            changed = reworded(task, step.id, before, each)
        except WordingRefused:
            continue
        if each not in known and each not in confusable_phrases(changed):
            fitting.append(each)
    return fitting


def _other_words(task: Task, step: Step, before: str) -> Iterator[str]:
    words = before.split()
    for name, value in step.sets.items():
        called = task.states[name].called
        yield f"{called} {value}"
        yield f"{called} is {value}"
    for instead in _INSTEAD.get(words[-1], ()):
        yield " ".join((*words[:-1], instead))
    yield " ".join((words[-1], *words[:-1]))  # what was done, before what it was done to
