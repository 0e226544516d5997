"""A rehearsal on the terminal, and as a page."""

import shlex
from pathlib import Path

from rich.console import Console
from rich.table import Table

from handsfree.cli.common import text_of
from handsfree.errors import HandsfreeError, Misuse
from handsfree.rehearse.bias import widened
from handsfree.rehearse.holds_for import stale
from handsfree.rehearse.intervals import Interval
from handsfree.rehearse.report import Rehearsal, Results, read_rehearsal, rehearsal_of
from handsfree.rehearse.rewording import trouble
from handsfree.rehearse.standing import holds, percent, standings
from handsfree.task.hearing_bound import HearingBound
from handsfree.task.model import Task
from handsfree.visible import visible


class NotRehearsed(HandsfreeError):
    """The rehearsal of a task does not show that it is heard as surely as it must be."""


_WORST_STEPS = 5
_MOST_TAKEN = 8


def print_rehearsal(rehearsal: Rehearsal, bound: HearingBound | None) -> None:
    """What a person must know first."""
    console = Console(highlight=False, soft_wrap=True)
    console.print(
        f"{visible(rehearsal.title)}, revision {visible(rehearsal.revision)}: "
        f"voices {len(rehearsal.settings.voices)}, noises {len(rehearsal.settings.noises)}, "
        f"{rehearsal.results_at().of:,} sayings",
        markup=False,
    )
    console.print(_by_ratio(rehearsal))
    console.print(_worst(rehearsal))
    for each in rehearsal.taken[:_MOST_TAKEN]:
        if each.result == "accepted wrong":
            heard = each.heard or "nothing"
            console.print(
                f"{each.step}: '{each.said}' was taken for '{heard}', {each.times} x", markup=False
            )
    minutes = [each.minutes for each in rehearsal.talks if each.finished]
    if minutes:
        console.print(
            f"By voice, without the work of the hands: {min(minutes):.1f} to {max(minutes):.1f} "
            f"minutes; where all is heard surely {rehearsal.ways[0].minutes:.1f}.",
            markup=False,
        )
    turns = sum(each.turns for each in rehearsal.talks)
    if turns:
        wrong = [taken for each in rehearsal.talks for taken in each.wrong]
        console.print(
            f"In {len(rehearsal.talks)} whole conversations {len(wrong)} of {turns:,} turns were "
            f"accepted wrong, {sum(each.read_back for each in wrong)} of them read back first.",
            markup=False,
        )
        for taken in wrong[:_MOST_TAKEN]:
            console.print(
                f"  {taken.step}: '{taken.said}' was taken for '{taken.heard}'", markup=False
            )
    for change in rehearsal.rewordings:
        console.print(
            f"{change.step}: '{change.before}' as '{change.after}': answers asked again or "
            f"wrong {_troubled(change.answers_before)} before, "
            f"{_troubled(change.answers_after)} after"
            f"{'' if change.helps else ', which does not show that it helps'}",
            markup=False,
        )
    if rehearsal.left_out:
        console.print(f"{len(rehearsal.left_out)} recordings do not count:", markup=False)
        for left in rehearsal.left_out:
            console.print(f"  {left.file}: {left.why}", markup=False)
    if rehearsal.unreached:
        steps = ", ".join(rehearsal.unreached)
        console.print(f"Not rehearsed, for the crew never came there: {steps}", markup=False)
    if rehearsal.carried_over:
        console.print(
            f"{rehearsal.carried_over:,} were heard before a phrase changed that had no part in "
            "them; --anew hears them again.",
            markup=False,
        )
    for line in verdict_lines(rehearsal, bound):
        console.print(line, markup=False, style="bold")


def check_rehearsal(path: Path, task: Task) -> None:
    """Say how the rehearsal of a task stands.

    Raises NotRehearsed where it is missing or stale, or does not show what the task wants.
    """
    kept = rehearsal_of(path)
    again = f"Run: handsfree rehearse {shlex.quote(str(path))}"
    if not kept.exists():
        raise NotRehearsed(f"{path}: was not rehearsed, or {kept.name} is not beside it. {again}")
    rehearsal = read_rehearsal(kept, text_of(kept, "a rehearsal"))
    if changed := stale(task, rehearsal):
        raise NotRehearsed(
            f"{kept}: is out of date, for since then {', '.join(changed)} changed. {again}"
        )
    lines = verdict_lines(rehearsal, task.hearing)
    if task.hearing is None or not holds(rehearsal, task.hearing):
        raise NotRehearsed("\n".join(f"{kept}: {each}" for each in lines))
    for line in lines:
        print(visible(line))


def verdict_lines(rehearsal: Rehearsal, bound: HearingBound | None) -> tuple[str, ...]:
    """Whether the bound of the task holds, by each kind of voice."""
    if bound is None:
        return ("The task states no bound: write hearing: {wrong_below: 0.02, at_snr: 10}.",)
    found = standings(rehearsal, bound)
    if not found:
        return (f"The bound is at {bound.at_snr:f} dB, and that was not rehearsed.",)
    return tuple(f"By {each.speech.value}: {each.describe(bound)}." for each in found)


def write_page(path: Path, rehearsal: Rehearsal, task: Task) -> None:
    """Write it as one file of HTML; raises Misuse where it cannot be written."""
    from handsfree.files.whole import replace_file
    from handsfree.rehearse.page_html import rehearsal_page

    try:
        replace_file(path, rehearsal_page(rehearsal, task).encode())
    except OSError as error:
        raise Misuse(f"{path}: cannot be written ({error.strerror}). Name another file.") from error


def _by_ratio(rehearsal: Rehearsal) -> Table:
    table = Table(box=None, pad_edge=False)
    # The last is where the share of people at work lies, for synthetic voices are none.
    for name in ("dB", "said", "accepted right", "asked again", "accepted wrong", "people wrong"):
        table.add_column(name, justify="right")
    for recorded in (True, False):
        for snr_db in rehearsal.settings.snrs_db:
            results = rehearsal.results_at(snr_db, recorded=recorded)
            if not results.of:
                continue
            wrong = results.count("wrong")
            foretold = wrong.interval if recorded else widened(wrong, "wrong", snr_db)
            table.add_row(
                f"{snr_db:g}",
                f"{results.of:,}{' recorded' if recorded else ''}",
                *(_share(results, each) for each in ("right", "asked", "wrong")),
                _between(foretold),
            )
    return table


def _share(results: Results, result: str) -> str:
    count = results.count(result)  # type: ignore[arg-type]
    return f"{percent(count.rate)} ({_between(count.interval)})"


def _between(interval: Interval) -> str:
    return f"{percent(interval.low)} to {percent(interval.high)}"


def _worst(rehearsal: Rehearsal) -> Table:
    table = Table(box=None, pad_edge=False)
    for name in ("worst steps", "answers", "asked again", "accepted wrong"):
        table.add_column(name)
    by_step: dict[str, Results] = {}
    for row in rehearsal.steps:
        if row.kind != "talk":
            by_step[row.step] = by_step.get(row.step, Results()) + row.results
    worst = sorted(by_step.items(), key=lambda each: -trouble(each[1]))
    for step, results in worst[:_WORST_STEPS]:
        if trouble(results):
            table.add_row(step, f"{results.of}", f"{results.asked}", f"{results.wrong}")
    return table


def _troubled(results: Results) -> str:
    return f"{results.asked + results.wrong} of {results.of}"
