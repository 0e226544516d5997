"""The results of a rehearsal, counted by step, by noise and by voice."""

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import TypeVar

from handsfree.rehearse.judging import Result
from handsfree.rehearse.report import Results, StepResults, Taken
from handsfree.rehearse.sayings import Kind
from handsfree.rehearse.trials import Tried

_Key = TypeVar("_Key", bound=Hashable)
_MOST_TAKEN = 60  # rows: nobody reads more


def results_of(tried: Iterable[Tried]) -> Results:
    """How many of each result."""
    judged = [each.judged for each in tried]
    number = Counter(each.result for each in judged)
    return Results(
        right=number[Result.RIGHT],
        asked=number[Result.ASKED],
        wrong=number[Result.WRONG],
        read_back=sum(each.read_back for each in judged if each.result is Result.WRONG),
    )


def by_step(tried: Sequence[Tried]) -> tuple[StepResults, ...]:
    """By step in the order of the task, by kind, and by ratio, the clearest first."""
    grouped = _grouped(
        tried, lambda each: (each.moment.step, each.trial.kind, each.trial.scene.snr_db)
    )
    order = list(dict.fromkeys(each.moment.step for each in tried))
    rows = sorted(
        grouped.items(),
        key=lambda row: (order.index(row[0][0]), list(Kind).index(row[0][1]), -row[0][2]),
    )
    return tuple(
        StepResults(step=step, kind=kind.value, snr_db=snr_db, results=results_of(group))
        for (step, kind, snr_db), group in rows
    )


def of_answers(tried: Iterable[Tried], name: Callable[[Tried], str]) -> dict[str, Results]:
    """The answers alone, by what `name` gives, in the order of their first."""
    answers = [each for each in tried if each.trial.kind is Kind.ANSWER]
    return {key: results_of(group) for key, group in _grouped(answers, name).items()}


def taken(tried: Iterable[Tried]) -> tuple[Taken, ...]:
    """What was not heard as itself: accepted wrong first, then what was asked for most."""
    doubtful = [
        each
        for each in tried
        if each.judged.result is Result.WRONG
        or (each.judged.result is Result.ASKED and each.trial.kind is not Kind.TALK)
    ]
    groups = _grouped(
        doubtful,
        lambda each: (
            each.moment.step,
            each.moment.phase.value,
            each.trial.kind,
            each.trial.scene.words,
            each.judged.heard,
            each.judged.result,
        ),
    )
    rows = [
        Taken(
            step=step,
            at=at,
            kind=kind.value,
            said=said,
            heard=heard,
            result="accepted wrong" if result is Result.WRONG else "asked again",
            times=len(group),
            snrs_db=tuple(sorted({each.trial.scene.snr_db for each in group}, reverse=True)),
        )
        for (step, at, kind, said, heard, result), group in groups.items()
    ]
    rows.sort(key=lambda row: (row.result != "accepted wrong", row.kind, -row.times, row.said))
    return tuple(rows[:_MOST_TAKEN])


def _grouped(tried: Iterable[Tried], key: Callable[[Tried], _Key]) -> dict[_Key, list[Tried]]:
    groups: dict[_Key, list[Tried]] = defaultdict(list)
    for each in tried:
        groups[key(each)].append(each)
    return dict(groups)
