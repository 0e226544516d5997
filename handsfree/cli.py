"""The command line: parse, call, print."""

import json
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.cli_devices import devices
from handsfree.errors import HandsfreeError

if TYPE_CHECKING:
    from handsfree.task.model import Task
    from handsfree.words.phrases import PhraseSet

app = typer.Typer(
    help="Offline, voice-driven, hands-free step companion for aircraft maintenance.",
    epilog="It certifies nothing. Approved maintenance data, the operator's procedures and local "
    "regulations always come first.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
app.command()(devices)

TaskFile = Annotated[Path, typer.Argument(metavar="TASK", help="A task file (YAML).")]


class Misuse(HandsfreeError):
    """The command was called in a way that makes no sense."""

    exit_code = 2


def main() -> None:
    """Run the command line; a typed error is one message on stderr and an exit code."""
    try:
        app()
    except HandsfreeError as error:
        print(error, file=sys.stderr)
        raise SystemExit(error.exit_code) from error


@app.command()
def check(task: TaskFile) -> None:
    """Check a task file, and say what is in it and which of its phrases sound alike."""
    from handsfree.rehearse import warnings_about

    checked, text = _read(task)
    warnings = warnings_about(checked, text, str(task))
    for warning in warnings:
        print(warning.line, file=sys.stderr)
    if any(warning.fails for warning in warnings):
        raise typer.Exit(1)
    found = f"{len(warnings)} to look at" if warnings else "no problem found"
    readings = sum(hasattr(step.expect, "reading") for step in checked.steps)
    typer.echo(
        f"{task}: {found}. {checked.title}, revision {checked.revision}: "
        f"{len(checked.steps)} steps, {readings} readings, {len(checked.states)} states, "
        f"{len(checked.never)} never rules."
    )


@app.command()
def run(
    task: TaskFile,
    clips: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Hear these sound files, in the order of their names."),
    ] = None,
    keyboard: Annotated[bool, typer.Option("--keyboard", help="Type what would be said.")] = False,
    record: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Where the record goes; new.  [default: in records/]"),
    ] = None,
    speech_file: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Keep the tool's speech in a WAV file, unheard."),
    ] = None,
    device: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="The microphone; see `devices`.  [default: default]"),
    ] = None,
    second_device: Annotated[
        str | None, typer.Option(metavar="NAME", help="The second person's microphone.")
    ] = None,
    second_channel: Annotated[
        int | None,
        typer.Option(metavar="N", min=2, help="The second person's channel of the microphone."),
    ] = None,
    voice_stops_speech: Annotated[
        bool,
        typer.Option(
            "--voice-stops-speech",
            help="A voice stops a long instruction. Only with headsets that the tool's own voice "
            "does not reach; a warning or caution is never stopped.",
        ),
    ] = False,
) -> None:
    """Do a task by voice, live; or from recorded clips, or by typed words."""
    if clips is not None and keyboard:
        raise Misuse("run: hear either from --clips FOLDER or from --keyboard.")
    if second_device is not None and second_channel is not None:
        raise Misuse("run: the second person is at --second-device or --second-channel, not both.")
    live = clips is None and not keyboard
    microphones = device is not None or second_device is not None or second_channel is not None
    if not live and (microphones or voice_stops_speech):
        raise Misuse("run: --clips and --keyboard need no microphone.")
    from rich.console import Console

    from handsfree.ears import ClipEar, KeyboardEar, clips_in
    from handsfree.engine.state import Phase
    from handsfree.hearing.listeners import open_recognizer
    from handsfree.live import Headsets, open_live
    from handsfree.record import Record
    from handsfree.run import Board, Ear
    from handsfree.run import run as hold
    from handsfree.screen import TextScreen
    from handsfree.speaking import open_speaker
    from handsfree.task.calibration import refuse_expired

    checked, text = _read(task)
    refuse_expired(checked.equipment, _utc_now().date())
    files = clips_in(clips) if clips else ()
    began = time.monotonic()

    def since_start() -> timedelta:
        return timedelta(seconds=time.monotonic() - began)

    folder = record or Path("records") / f"{_utc_now():%Y%m%dT%H%M%SZ}-{checked.task}"
    screen = TextScreen(Console(highlight=False))
    ear: Ear
    with ExitStack() as opened:
        boards: tuple[Board, ...] = ()
        if live:
            headsets = Headsets(device, second_device, second_channel, voice_stops_speech)
            with _loading():
                parts = open_live(checked, headsets, speech_file, _utc_now, since_start)
                held = opened.enter_context(parts)
            ear, speaker, boards = held.ear, held.speaker, held.boards
        elif files:
            with _loading():
                ear = ClipEar(files, open_recognizer(), since_start)
        else:
            ear = KeyboardEar(sys.stdin, sys.stderr, since_start)
        log = opened.enter_context(Record(folder, text, _utc_now, since_start))
        if not live:
            speaker = open_speaker(speech_file)
            opened.callback(speaker.close)
        try:
            end = hold(checked, ear, log, speaker, screen, boards)
        finally:
            typer.echo(f"record: {folder}")
    if end.phase is not Phase.FINISHED:
        done, steps = end.step, len(checked.steps)
        typer.echo(f"not finished: {done} of {steps} steps are done; step {done + 1} was waiting.")
        raise typer.Exit(1)


@app.command()
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
        typer.Option(metavar="NAME", help="A built-in phrase set: number.  [default: number]"),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
) -> None:
    """Hear clips, one line for each, in the order given."""
    listened_for = _phrase_set(task, step, phrases)
    from rich.console import Console
    from rich.progress import Progress

    from handsfree.hearing.clips import read_clip
    from handsfree.hearing.listeners import open_recognizer
    from handsfree.report import Hearing

    with _loading():
        recognizer = open_recognizer()
    failed = False
    with Progress(console=Console(stderr=True), transient=True) as progress:
        bar = progress.add_task("hearing", total=len(clips))
        for path in clips:
            began = time.perf_counter()
            try:
                heard = recognizer.listen(read_clip(path), listened_for)
            except HandsfreeError as error:
                failed = True
                hearing = Hearing.failed(str(path), str(error))
                progress.console.print(str(error), highlight=False, markup=False, soft_wrap=True)
            else:
                ms = (time.perf_counter() - began) * 1000
                hearing = Hearing.of(str(path), heard, listened_for, ms)
            line = json.dumps(hearing.as_object()) if as_json else hearing.as_line()
            print(line, flush=True)
            progress.advance(bar)
    if failed:
        raise typer.Exit(1)


def _read(path: Path) -> "tuple[Task, str]":
    from handsfree.task.read import read_task

    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise Misuse(f"{path}: cannot be read ({error.strerror}). Name a task file.") from error
    except UnicodeDecodeError as error:
        raise Misuse(f"{path}: is not text in UTF-8. Name a task file.") from error
    return read_task(text, str(path)), text


def _phrase_set(task: Path | None, step: str | None, name: str | None) -> "PhraseSet":
    from dataclasses import replace

    from handsfree.engine.advance import before_start
    from handsfree.engine.listening import phrases_now
    from handsfree.words.phrases import BUILT_IN

    if (task is None) != (step is None):
        raise Misuse("hear: --task and --step go together.")
    if task is None or step is None:
        if (name or "number") not in BUILT_IN:
            raise Misuse(f"hear: no phrase set '{name}'. There is: {', '.join(BUILT_IN)}.")
        return BUILT_IN[name or "number"]
    if name is not None:
        raise Misuse("hear: give either --phrases or --task with --step.")
    checked, _ = _read(task)
    ids = [each.id for each in checked.steps]
    if step not in ids:
        raise Misuse(f"hear: {task} has no step '{step}'. It has: {', '.join(ids)}.")
    return phrases_now(checked, replace(before_start(checked), step=ids.index(step)))


@contextmanager
def _loading() -> Iterator[None]:
    from rich.console import Console

    with Console(stderr=True).status("Loading the speech model"):
        yield


def _utc_now() -> datetime:
    return datetime.now(UTC)
