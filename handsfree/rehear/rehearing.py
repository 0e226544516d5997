"""Many records heard anew: what is found in all of them, the worst first."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.fleet import Job, Kept, Runner, content_key
from handsfree.fleet.build import build_here
from handsfree.record.chain import read_chain
from handsfree.record.entries import NoRecord
from handsfree.rehear.differences import (
    AskedThen,
    Compared,
    Difference,
    NotHeardAgain,
    SameAgain,
    compare,
)
from handsfree.rehear.hearing_again import HearAgain, HeardAgain, hear_again, models_of
from handsfree.rehear.moments import Moment, Opened, moments_of, open_record


@dataclass(slots=True)
class Reheard:
    """What was found, also where not all was heard yet."""

    records: int = 0  # that were heard, or begun
    clips: int = 0  # that were heard
    same: int = 0  # as was acted on
    unsure: int = 0  # as was acted on, but a run would ask again today
    not_heard_again: int = 0  # nothing that fits; a run would ask again today
    asked_then: int = 0  # not acted on then
    believed_now: int = 0  # of those, what a run would act on today
    redacted: int = 0  # sound that was removed, and that told
    differences: list[Difference] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)  # what was not heard, and why
    no_records: int = 0  # of those problems, folders that hold no record

    @property
    def worst_first(self) -> list[Difference]:
        """Where another value is heard now than the one that was acted on."""
        return sorted(self.differences, key=lambda each: each.rank)

    @property
    def exit_code(self) -> int:
        """0: nothing that matters; 1: something is to be listened to, or was not heard; 2: only
        that a folder holds no record.
        """
        if len(self.problems) > self.no_records or any(each.matters for each in self.differences):
            return 1
        return 2 if self.no_records else 0


def clips_of(record: Path) -> int:
    """How many clips a record has; 0 for one that cannot be read, which is told elsewhere."""
    try:
        return len(read_chain(record).clips)
    except HandsfreeError:
        return 0


def open_records(records: Iterable[Path], found: Reheard) -> Iterator[Opened]:
    """Each record that is as it was written; what is wrong with another is put down in `found`."""
    for record in records:
        try:
            yield open_record(record)
        except HandsfreeError as error:
            found.problems.append(_naming(record, error))
            found.no_records += isinstance(error, NoRecord)


def rehear(
    opened: Iterable[Opened],
    found: Reheard,
    model: str,
    runner: Runner,
    kept: Kept[HeardAgain] | None = None,
    heard_one: Callable[[], None] = lambda: None,
) -> None:
    """Hear every clip of these records by `model`, and put down in `found` what it comes to.

    `found` is filled on the way, so that whoever is interrupted has what was found by then.
    `heard_one` is called for each clip. Raises the errors of the runner and of the models; OSError
    where a result cannot be kept.
    """
    waiting: dict[int, Moment] = {}
    jobs = _jobs(opened, found, waiting, model)
    results = runner.results(jobs) if kept is None else kept.results(runner, jobs)
    for number, again in results:
        _put_down(found, waiting.pop(number), again)
        heard_one()


def _jobs(
    opened: Iterable[Opened], found: Reheard, waiting: dict[int, Moment], model: str
) -> Iterator[Job[HearAgain, HeardAgain]]:
    models, by = models_of(model), content_key(build_here())
    number = 0
    for record in opened:
        found.records += 1
        try:
            for moment, clip in moments_of(record):
                waiting[number] = moment
                number += 1
                yield Job(hear_again, HearAgain(clip, moment.phrases, model, models, by))
        except HandsfreeError as error:
            found.problems.append(_naming(record.record, error))
        found.problems += record.problems
        found.redacted += record.redacted


def _put_down(found: Reheard, moment: Moment, again: HeardAgain) -> None:
    if again.unheard:
        found.problems.append(f"{moment.clip} (entry {moment.entry}): {again.unheard}")
        return
    found.clips += 1
    compared: Compared = compare(moment, again)
    match compared:
        case Difference():
            found.differences.append(compared)
        case SameAgain(believed=believed):
            found.same += 1
            found.unsure += not believed
        case NotHeardAgain():
            found.not_heard_again += 1
        case AskedThen(believed=believed):
            found.asked_then += 1
            found.believed_now += believed


def _naming(record: Path, error: HandsfreeError) -> str:
    """The error, with the record that it is about."""
    told = str(error)
    return told if told.startswith(str(record)) else f"{record}: {told}"
