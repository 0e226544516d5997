"""The command that hears clips, without a run."""

import json
import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.cli.common import read_checked, waiting
from handsfree.errors import HandsfreeError, Misuse

if TYPE_CHECKING:
    from handsfree.words.phrases import PhraseSet


def hear(
    clips: Annotated[list[Path], typer.Argument(metavar="CLIP...", help="Sound files.")],
    task: Annotated[
        Path | None, typer.Option(metavar="TASK", help="Listen for what a step expects.")
    ] = None,
    step: Annotated[
        str | None, typer.Option(metavar="STEP", help="The step of the task, by id.")
    ] = None,
    phrases: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="A built-in phrase set: number.  (default: number)"),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
) -> None:
    """Hear clips, one line for each, in the order given."""
    listened_for = _phrase_set(task, step, phrases)
    from rich.console import Console
    from rich.progress import Progress

    from handsfree.cli.hearing_line import Hearing
    from handsfree.hearing.clips import read_clip
    from handsfree.hearing.opening import open_recognizer
    from handsfree.visible import escaped

    with waiting():
        recognizer = open_recognizer()
    failed = False
    with Progress(console=Console(stderr=True), transient=True) as progress:
        bar = progress.add_task("hearing", total=len(clips))
        for path in clips:
            began = time.perf_counter()
            try:
                heard = recognizer.recognize(read_clip(path), listened_for)
            except HandsfreeError as error:
                failed = True
                problem = escaped(str(error))
                hearing = Hearing.failed(escaped(str(path)), problem)
                progress.console.print(problem, highlight=False, markup=False, soft_wrap=True)
            else:
                ms = (time.perf_counter() - began) * 1000
                hearing = Hearing.of(escaped(str(path)), heard, listened_for, ms)
            line = json.dumps(hearing.as_object()) if as_json else hearing.as_line()
            print(line, flush=True)
            progress.advance(bar)
    if failed:
        raise typer.Exit(1)


def _phrase_set(task: Path | None, step: str | None, name: str | None) -> "PhraseSet":
    from handsfree.engine.advance import before_start
    from handsfree.engine.phrases_now import phrases_now
    from handsfree.words.phrases import BUILT_IN

    if (task is None) != (step is None):
        raise Misuse("hear: --task and --step go together.")
    if task is None or step is None:
        if (name or "number") not in BUILT_IN:
            raise Misuse(f"hear: no phrase set '{name}'. There is: {', '.join(BUILT_IN)}.")
        return BUILT_IN[name or "number"]
    if name is not None:
        raise Misuse("hear: give either --phrases or --task with --step.")
    checked, _ = read_checked(task)
    ids = [each.id for each in checked.steps]
    if step not in ids:
        raise Misuse(f"hear: {task} has no step '{step}'. It has: {', '.join(ids)}.")
    return phrases_now(checked, before_start(checked).at_step(ids.index(step)))
