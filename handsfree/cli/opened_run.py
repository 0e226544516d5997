"""What a run has before anybody is heard: its task, its record, and what it is for."""

import time
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.cli.common import content_of, local_now, read_checked, text_of, utc_now, waiting
from handsfree.cli.keys_given import load_if_there
from handsfree.cli.run_request import RunRequest
from handsfree.errors import HandsfreeError, Misuse
from handsfree.speaking.voices import OpenVoice

if TYPE_CHECKING:
    from handsfree.record import Circumstances, Record
    from handsfree.record.log import Stopwatch, UtcClock
    from handsfree.record.replay import LeftOff
    from handsfree.task.equipment_list import ListedTool
    from handsfree.task.model import Task
    from handsfree.task.roster import Person


@dataclass(frozen=True, slots=True)
class OpenedRun:
    """A run that can begin, or go on."""

    task: "Task"
    record: "Record"  # to write into, new or gone on with
    variants: dict[str, str]  # what a run that has not begun is for
    left_off: "LeftOff | None"  # where the record ends; None: it is new
    tools: "tuple[ListedTool, ...] | None"  # of the equipment list, if one is named

    @contextmanager
    def until_begun(self, open_voice: OpenVoice) -> Iterator[None]:
        """Where opening the rest ends by an error or a signal, the record tells and is sealed.

        A mistake of ours is said too, and told as RunFailed.
        """
        from handsfree.engine.wording.failures import run_failed
        from handsfree.running.loop import RunFailed
        from handsfree.speaking import open_speaker

        try:
            yield
        except (HandsfreeError, KeyboardInterrupt) as error:
            self._stop(str(error) or "interrupted")
            raise
        except Exception as error:
            failed = RunFailed(self.record.folder, error)
            self._stop(str(failed))
            with suppress(Exception):  # it may be the voice itself that failed
                speaker = open_speaker(None, open_voice=open_voice)
                speaker.say(run_failed().text)
                speaker.close()
            raise failed from error

    def _stop(self, reason: str) -> None:
        from handsfree.record.marks import Stopped

        at = 0 if self.left_off is None else self.left_off.state.step
        step = self.task.steps[min(at, len(self.task.steps) - 1)]
        self.record.append(Stopped(step.id, reason))
        self.record.seal()


@contextmanager
def open_run(
    request: RunRequest, people: "tuple[Person, ...]", open_voice: OpenVoice
) -> Iterator[OpenedRun]:
    """Read the task, prove it, and open the record; close the record at the end.

    Raises Misuse and the errors of what is read. Where the record cannot be written, that is said
    by `open_voice` before RecordNotWritten is raised: whoever is at the work looks at no screen.
    """
    from handsfree.engine.wording.failures import record_not_written
    from handsfree.record import Record, RecordNotWritten
    from handsfree.record.entries import read_entries
    from handsfree.record.replay import left_off
    from handsfree.record.task_file import read_task_of
    from handsfree.speaking import open_speaker
    from handsfree.task.checks.calibration import refuse_expired, refuse_expired_since
    from handsfree.task.roster import refuse_without_roster

    now, since_start = _clocks(request.rehearse_clock)
    variants: dict[str, str] = {}
    text = ""
    if request.task is not None:
        task, text = read_checked(request.task)
        variants = _variants(task, request.variant)
        refuse_without_roster(task, people)
    else:
        assert request.resume is not None
        task = read_task_of(request.resume)
    if not request.headsets().can_inspect() and any(step.inspection for step in task.steps):
        raise Misuse(
            "run: the task has an inspection, and each headset is somebody else's. "
            "Name the inspector's with --inspector-device."
        )
    refuse_expired(task.equipment, utc_now().date())
    tools = _tools(task, request.equipment)
    own = load_if_there(request.keys)
    circumstances = _circumstances(task, request)
    try:
        if request.resume is None:
            folder = request.record or Path("records") / f"{utc_now():%Y%m%dT%H%M%SZ}-{task.task}"
            record = Record(folder, text, now, since_start, own, circumstances=circumstances)
        else:
            with waiting("Checking the record"):
                record = Record.go_on(
                    request.resume, now, since_start, own, circumstances=circumstances
                )
    except RecordNotWritten:
        speaker = open_speaker(request.speech_file, open_voice=open_voice)
        speaker.say(record_not_written().text)
        speaker.close()
        raise
    with record:
        with waiting("Replaying the record") if request.resume else nullcontext():
            where = left_off(task, read_entries(record.folder)) if request.resume else None
        if where is not None:
            if where.is_finished:
                raise Misuse(f"run: {record.folder}: the task is finished; nothing is left to do.")
            if where.is_begun and people:
                raise Misuse("run: the roster of this run is on its record; leave --roster out.")
            if not where.is_begun:
                variants = _variants(task, request.variant)
                refuse_without_roster(task, people)
            progress = where.state.progress
            today = utc_now().date()
            refuse_expired_since(task, progress.position.step, progress.dates, today)
        yield OpenedRun(task, record, variants, where, tools)


def _clocks(rate: int) -> "tuple[UtcClock, Stopwatch]":
    """The time of day, and the time since now; both go `rate` times as fast as they should."""
    began, at = local_now(), time.monotonic()

    def since_start() -> timedelta:
        return timedelta(seconds=rate * (time.monotonic() - at))

    # A clock on the wall may be set meanwhile, which the record of a real run tells.
    return (local_now if rate == 1 else lambda: began + since_start()), since_start


def _circumstances(task: "Task", request: RunRequest) -> "Circumstances":
    """What the record tells of what this run is done with."""
    from handsfree.hearing.models.versions import models_that_listen
    from handsfree.record import Circumstances
    from handsfree.record.marks import Way

    way = Way.VOICE if request.is_live else Way.TYPED if request.keyboard else Way.CLIP
    models = () if way is Way.TYPED else models_that_listen()
    return Circumstances(task.task, task.revision, way, models, request.rehearse_clock)


def read_people(roster: Path | None) -> "tuple[Person, ...]":
    """The people of a roster file; nobody where none is named. Raises RosterFileError."""
    from handsfree.task.roster import read_roster

    return () if roster is None else read_roster(text_of(roster, "a roster"), str(roster))


def _tools(task: "Task", path: Path | None) -> "tuple[ListedTool, ...] | None":
    """The tools of an equipment list; None where no list is given."""
    if path is None:
        return None
    from handsfree.task.equipment_list import check_fits, read_equipment

    tools = read_equipment(content_of(path, "an equipment list"), str(path))
    check_fits(task, tools, str(path))
    return tools


def _variants(task: "Task", said: tuple[str, ...]) -> dict[str, str]:
    """One value for each variant of the task, in the order of the task."""
    given = dict(each.partition("=")[::2] for each in said)
    for name in given:
        if name not in task.variants:
            known = ", ".join(task.variants) or "none"
            raise Misuse(f"run: the task has no variant '{name}'. It has: {known}.")
    for name, values in task.variants.items():
        if given.get(name) not in values:
            options = " or ".join(f"--variant '{name}={value}'" for value in values)
            raise Misuse(f"run: say which {name} this run is for: {options}.")
    return {name: given[name] for name in task.variants}
