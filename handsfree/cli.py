"""The command line: parse, call, print."""

import json
import shlex
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree import cli_record
from handsfree.cli_devices import devices
from handsfree.cli_models import models
from handsfree.errors import HandsfreeError, Misuse

if TYPE_CHECKING:
    from handsfree.record import Record
    from handsfree.record.replay import LeftOff
    from handsfree.run import Board
    from handsfree.task.equipment_list import ListedTool
    from handsfree.task.explore import Watch
    from handsfree.task.model import Task
    from handsfree.task.roster import Person
    from handsfree.words.phrases import PhraseSet

app = typer.Typer(
    help="Offline, voice-driven, hands-free step companion for aircraft maintenance.",
    epilog="It certifies nothing. Approved maintenance data, the operator's procedures and local "
    "regulations always come first.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
app.add_typer(cli_record.app)
app.add_typer(models, name="models")
app.command()(devices)

TaskFile = Annotated[Path, typer.Argument(metavar="TASK", help="A task file (YAML).")]


def main() -> None:
    """Run the command line; a typed error is one message on stderr and an exit code."""
    try:
        app()
    except HandsfreeError as error:
        print(error, file=sys.stderr)
        raise SystemExit(error.exit_code) from error


@app.command()
def check(task: TaskFile) -> None:
    """Prove a task: look at every way through it, and say what is in it and what to look at."""
    from handsfree.rehearse import warnings_about
    from handsfree.task.advice import advise
    from handsfree.task.read import read_and_prove

    text = _text(task)
    with _counting("Looking at every way", "situations") as watch:
        checked, proof, source = read_and_prove(text, str(task), watch)
    advice = [each.advise(str(task)) for each in advise(checked, source)]
    warnings = warnings_about(checked, text, str(task))
    for line in (*advice, *(warning.line for warning in warnings)):
        print(line, file=sys.stderr)
    if any(warning.fails for warning in warnings):
        raise typer.Exit(1)
    to_look_at = len(advice) + len(warnings)
    readings = sum(hasattr(step.expect, "reading") for step in checked.steps)
    found = f"{to_look_at} to look at" if to_look_at else "no problem found"
    typer.echo(
        f"{task}: {found}. {checked.title}, revision {checked.revision}: "
        f"{len(checked.steps)} steps, {readings} readings, {len(checked.states)} states, "
        f"{len(checked.never)} never rules. Proved on every way: {proof.positions:,} situations "
        f"and {proof.moves:,} moves in {proof.walks} {'walk' if proof.walks == 1 else 'walks'}."
    )


@app.command()
def show(
    task: TaskFile,
    html: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write it as one HTML file, to be printed on A4."),
    ] = None,
) -> None:
    """Show a task for review: steps, limits with worked numbers, states over the steps."""
    from hashlib import sha256

    from handsfree.review.sheet import sheet_of

    checked, _ = _read(task)
    sheet = sheet_of(checked, sha256(task.read_bytes()).hexdigest())
    if html is not None:
        from handsfree.review.sheet_html import sheet_page

        if html.suffix.lower() not in (".html", ".htm"):
            # A file of that name is replaced, so it must not be able to name a task file.
            raise Misuse(f"{html}: the page needs a name that ends in .html.")
        _write(html, sheet_page(sheet))
        typer.echo(f"page: {html}")
        return
    from rich.console import Console

    from handsfree.review.sheet_text import print_sheet

    print_sheet(sheet, Console(highlight=False))


@app.command()
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The task file to begin (YAML).")],
) -> None:
    """Write a commented starter for a task file."""
    from handsfree.authoring.new_file import write_new
    from handsfree.authoring.starter import starter_for

    write_new(file, starter_for(file))
    typer.echo(
        f"written: {file}. Put your own words in, then: handsfree check {shlex.quote(str(file))}"
    )


@app.command()
def schema() -> None:
    """Print the JSON Schema of task files, for editors that complete and check them."""
    from handsfree.authoring.schema import task_schema

    typer.echo(json.dumps(task_schema(), indent=2, ensure_ascii=False))


@app.command("import")
def import_module(
    module: Annotated[
        Path, typer.Argument(metavar="MODULE", help="A procedural data module (S1000D, XML).")
    ],
    to: Annotated[Path, typer.Option(metavar="TASK", help="The task file to write; new.")],
) -> None:
    """Make a draft task from an S1000D procedural data module, and list what it leaves out."""
    from handsfree.authoring.data_module import read_module
    from handsfree.authoring.draft_yaml import draft_yaml
    from handsfree.authoring.new_file import write_new
    from handsfree.visible import visible

    try:
        data = module.read_bytes()
    except OSError as error:
        raise Misuse(f"{module}: cannot be read ({error.strerror}). Name a data module.") from error
    draft = read_module(data, str(module))
    write_new(to, draft_yaml(draft))
    for left in draft.left:
        typer.echo(visible(f"{module}:{left.line}: not taken over: {left.path}: {left.text}"))
    for step in draft.long_steps:
        typer.echo(f"{module}:{step.line}: {step.place} is too long for one instruction: split it")
    typer.echo(
        f"draft: {to}, {len(draft.steps)} steps; not taken over: {len(draft.left)}. "
        f"Settle each todo in it, then: handsfree check {shlex.quote(str(to))}"
    )


@app.command()
def run(
    task: Annotated[
        Path | None, typer.Argument(metavar="[TASK]", help="A task file (YAML).")
    ] = None,
    clips: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Hear these sound files, in the order of their names."),
    ] = None,
    keyboard: Annotated[bool, typer.Option("--keyboard", help="Type what would be said.")] = False,
    record: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Where the record goes; new.  (default: in records/)"),
    ] = None,
    resume: Annotated[
        Path | None,
        typer.Option(metavar="RECORD", help="Go on with this record, instead of a new TASK."),
    ] = None,
    keys: cli_record.KeysFolder = None,
    speech_file: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Keep the tool's speech in a WAV file, unheard."),
    ] = None,
    roster: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Who may do what, and until when (YAML)."),
    ] = None,
    variant: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME=VALUE", help="What this run is for, such as side=left."),
    ] = None,
    equipment: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="The tools that may be used, as the tool store's CSV."),
    ] = None,
    board: Annotated[
        bool, typer.Option("--board", help="Show the step on a local web page, for a tablet.")
    ] = False,
    board_host: Annotated[
        str | None,
        typer.Option(
            metavar="HOST",
            help="The address that the page is served on; this machine only, if not given.",
        ),
    ] = None,
    board_port: Annotated[
        int | None,
        typer.Option(metavar="PORT", min=0, max=65535, help="Its port; 8347, if not given."),
    ] = None,
    device: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="The microphone, if not the default one."),
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
    if equipment and resume:
        raise Misuse("run: a run that goes on keeps its equipment list: leave --equipment out.")
    if clips is not None and keyboard:
        raise Misuse("run: hear either from --clips FOLDER or from --keyboard.")
    if second_device is not None and second_channel is not None:
        raise Misuse("run: the second person is at --second-device or --second-channel, not both.")
    is_live = clips is None and not keyboard
    microphones = device is not None or second_device is not None or second_channel is not None
    if not is_live and (microphones or voice_stops_speech):
        raise Misuse("run: --clips and --keyboard need no microphone.")
    if (task is None) == (resume is None) or (record and resume):
        raise Misuse("run: name either a TASK, with or without --record, or --resume RECORD.")
    if not board and (board_host is not None or board_port is not None):
        raise Misuse("run: --board-host and --board-port go with --board.")
    from rich.console import Console

    from handsfree.ears import ClipEar, KeyboardEar, clips_in
    from handsfree.engine.state import Phase
    from handsfree.hearing.listeners import open_recognizer
    from handsfree.live import Headsets, live_parts
    from handsfree.run import Ear
    from handsfree.run import run as hold
    from handsfree.screen import TextScreen
    from handsfree.speaking import open_speaker

    people = _people(roster)
    files = clips_in(clips) if clips else ()
    headsets = Headsets(device, second_device, second_channel, voice_stops_speech)
    found = headsets.microphones() if is_live else ()
    with nullcontext() if keyboard else _waiting():
        recognizer = None if keyboard else open_recognizer()
    opening = _open_run(task, record, resume, keys, speech_file, variant or [], equipment, people)
    with (
        opening as (checked, log, variants, left_off, tools),
        _shown(checked, board, board_host, board_port) as boards,
    ):
        today = _utc_now().date()
        ear: Ear
        with ExitStack() as opened:
            opened.callback(lambda: typer.echo(f"record: {log.folder}"))
            if recognizer is not None and is_live:
                parts = live_parts(
                    checked, found, headsets, recognizer, speech_file, _utc_now, log.running_time
                )
                live = opened.enter_context(parts)
                ear, speaker, boards = live.ear, live.speaker, (*boards, *live.boards)
            else:
                if recognizer is not None:
                    ear = ClipEar(files, recognizer, log.running_time)
                else:
                    ear = KeyboardEar(sys.stdin, sys.stderr, log.running_time)
                speaker = open_speaker(speech_file)
                opened.callback(speaker.close)
            screen = TextScreen(Console(highlight=False))
            end = hold(
                *(checked, ear, log, speaker, screen, variants, left_off, boards),
                today=today,
                equipment=tools,
                people=people,
                utc_now=_utc_now,
            )
    if end.phase is not Phase.FINISHED:
        done, steps = end.step, len(checked.steps)
        typer.echo(f"not finished: {done} of {steps} steps are done; step {done + 1} was waiting.")
        raise typer.Exit(1)


@contextmanager
def _open_run(
    task: Path | None,
    record: Path | None,
    resume: Path | None,
    keys: Path | None,
    speech_file: Path | None,
    variant: list[str],
    equipment: Path | None,
    people: "tuple[Person, ...]",
) -> "Iterator[tuple[Task, Record, dict[str, str], LeftOff | None, tuple[ListedTool, ...] | None]]":
    """The task, the record to write, new or gone on with, and what a task not begun is for.

    Last, the tools of the equipment list.
    """
    from handsfree.engine.wording import record_not_written
    from handsfree.record import Record, RecordNotWritten
    from handsfree.record.entries import read_entries
    from handsfree.record.replay import left_off
    from handsfree.speaking import open_speaker
    from handsfree.task.calibration import refuse_expired, refuse_expired_since
    from handsfree.task.roster import refuse_without_roster

    began = time.monotonic()

    def since_start() -> timedelta:
        return timedelta(seconds=time.monotonic() - began)

    variants: dict[str, str] = {}
    if resume is None:
        assert task is not None
        checked, text = _read(task)
        variants = _variants(checked, variant)
        refuse_without_roster(checked, people)
    else:
        checked = cli_record.read_task_of(resume)
    refuse_expired(checked.equipment, _utc_now().date())
    tools = _tools(checked, equipment)
    own = cli_record.load_if_there(keys)
    try:
        if resume is None:
            folder = record or Path("records") / f"{_utc_now():%Y%m%dT%H%M%SZ}-{checked.task}"
            log = Record(folder, text, _utc_now, since_start, own)
        else:
            with _waiting("Checking the record"):
                log = Record.go_on(resume, _utc_now, since_start, own)
    except RecordNotWritten:
        # Also where it cannot even begin: whoever is at the work looks at no screen.
        speaker = open_speaker(speech_file)
        speaker.say(record_not_written().text)
        speaker.close()
        raise
    with log:
        with _waiting("Replaying the record") if resume else nullcontext():
            where = left_off(checked, read_entries(log.folder)) if resume else None
        if where is not None and where.is_finished:
            raise Misuse(f"run: {log.folder}: the task is finished; nothing is left to do.")
        if where is not None and where.is_begun and people:
            raise Misuse("run: the roster of this run is on its record; leave --roster out.")
        if where is not None and not where.is_begun:
            variants = _variants(checked, variant)
            refuse_without_roster(checked, people)
        if where is not None:
            refuse_expired_since(
                checked, where.state.position.step, where.state.dates, _utc_now().date()
            )
        yield checked, log, variants, where, tools


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
        typer.Option(metavar="NAME", help="A built-in phrase set: number.  (default: number)"),
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

    with _waiting():
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


def _people(roster: Path | None) -> "tuple[Person, ...]":
    from handsfree.task.roster import read_roster

    return () if roster is None else read_roster(_text(roster), str(roster))


def _read(path: Path) -> "tuple[Task, str]":
    from handsfree.task.read import read_task

    text = _text(path)
    return read_task(text, str(path)), text


def _text(path: Path) -> str:
    from handsfree.task.source import LARGEST_CHARACTERS

    try:
        with path.open(encoding="utf-8") as file:
            # One character more is enough to see that a file is too large, however large it is.
            return file.read(LARGEST_CHARACTERS + 1)
    except OSError as error:
        raise Misuse(f"{path}: cannot be read ({error.strerror}). Name a task file.") from error
    except UnicodeDecodeError as error:
        raise Misuse(f"{path}: is not text in UTF-8. Name a task file.") from error


def _tools(task: "Task", path: Path | None) -> "tuple[ListedTool, ...] | None":
    """The tools of an equipment list; None where no list is given."""
    if path is None:
        return None
    from handsfree.task.equipment_list import check_fits, read_equipment

    try:
        content = path.read_bytes()
    except OSError as error:
        raise Misuse(
            f"{path}: cannot be read ({error.strerror}). Name an equipment list."
        ) from error
    tools = read_equipment(content, str(path))
    check_fits(task, tools, str(path))
    return tools


def _variants(task: "Task", said: list[str]) -> dict[str, str]:
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


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise Misuse(f"{path}: cannot be written ({error.strerror}). Name another file.") from error


@contextmanager
def _shown(
    task: "Task", wanted: bool, host: str | None, port: int | None
) -> "Iterator[tuple[Board, ...]]":
    """The board, if it is wanted and can be opened; without it the voice is enough."""
    if not wanted:
        yield ()
        return
    from handsfree.board.live import DEFAULT_HOST, DEFAULT_PORT, OpenBoard
    from handsfree.board.server import BoardNotOpened

    try:
        opened = OpenBoard(task, host or DEFAULT_HOST, DEFAULT_PORT if port is None else port)
    except BoardNotOpened as error:
        print(error, file=sys.stderr)
        opened = None
    if opened is None:
        yield ()
        return
    with opened:
        typer.echo(f"board: {opened.url}")
        yield (opened.board,)


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
def _waiting(doing: str = "Loading the speech model") -> Iterator[None]:
    from rich.console import Console

    with Console(stderr=True).status(doing):
        yield


@contextmanager
def _counting(doing: str, what: str) -> "Iterator[Watch]":
    """Show on stderr how many have been found, once that has taken two seconds."""
    from rich.console import Console

    began = time.monotonic()
    status = Console(stderr=True).status(doing)

    def watch(found: int) -> None:
        if time.monotonic() - began > 2:
            status.update(f"{doing}: {found:,} {what}")
            status.start()

    try:
        yield watch
    finally:
        status.stop()


def _utc_now() -> datetime:
    return datetime.now(UTC)
