"""The command that does a task: parse, open what is needed, run."""

import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from datetime import timedelta
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TextIO

import typer

from handsfree.cli import record as cli_record
from handsfree.cli.common import VoiceOption, read_checked, text_of, utc_now, waiting
from handsfree.errors import Misuse
from handsfree.speaking.voices import OpenVoice, VoiceName, voice_called

if TYPE_CHECKING:
    from handsfree.record import Record
    from handsfree.record.replay import LeftOff
    from handsfree.running.parts import Board
    from handsfree.task.equipment_list import ListedTool
    from handsfree.task.model import Task
    from handsfree.task.roster import Person


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
    voice: VoiceOption = VoiceName.BUILT_IN,
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
    inspector_device: Annotated[
        str | None, typer.Option(metavar="NAME", help="The inspector's microphone.")
    ] = None,
    voice_stops_speech: Annotated[
        bool,
        typer.Option(
            "--voice-stops-speech",
            help="The technician's voice stops an instruction. Only with headsets that the tool's "
            "own voice does not reach; a warning or caution is never stopped.",
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
    microphones = (device, second_device, second_channel, inspector_device)
    if not is_live and (any(each is not None for each in microphones) or voice_stops_speech):
        raise Misuse("run: --clips and --keyboard need no microphone.")
    if (task is None) == (resume is None) or (record and resume):
        raise Misuse("run: name either a TASK, with or without --record, or --resume RECORD.")
    if not board and (board_host is not None or board_port is not None):
        raise Misuse("run: --board-host and --board-port go with --board.")
    from rich.console import Console

    class _PlainConsole(Console):
        def on_broken_pipe(self) -> None:
            """Rich would end the program; the voice can go on."""
            raise BrokenPipeError("nobody reads what is shown")

    from handsfree.engine.state import Phase
    from handsfree.hearing.listeners import open_recognizer
    from handsfree.running.ears import ClipEar, KeyboardEar, clips_in
    from handsfree.running.live import Headsets, live_parts
    from handsfree.running.loop import run as hold
    from handsfree.running.parts import Ear
    from handsfree.running.screen import TextScreen
    from handsfree.running.signals import StopSignals
    from handsfree.speaking import open_speaker

    open_voice = voice_called(voice)
    people = _people(roster)
    files = clips_in(clips) if clips else ()
    headsets = Headsets(device, second_device, second_channel, inspector_device, voice_stops_speech)
    found = headsets.microphones() if is_live else ()
    with nullcontext() if keyboard else waiting():
        recognizer = None if keyboard else open_recognizer()
    opening = _open_run(
        *(task, record, resume, keys, speech_file, variant or [], equipment, people),
        can_inspect=headsets.can_inspect(),
        open_voice=open_voice,
    )
    with (
        opening as (checked, log, variants, left_off, tools),
        _shown(checked, board, board_host, board_port) as boards,
    ):
        ear: Ear
        why_unheard: Callable[[], str | None] | None = None  # else the screen is read
        with ExitStack() as opened:
            opened.callback(lambda: _tell(f"record: {log.folder}"))
            if recognizer is not None and is_live:
                parts = live_parts(
                    *(checked, found, headsets, recognizer),
                    *(speech_file, open_voice, utc_now, log.running_time),
                )
                live = opened.enter_context(parts)
                ear, speaker, boards = live.ear, live.speaker, (*boards, *live.boards)
                why_unheard = live.why_unheard
            else:
                if recognizer is not None:
                    ear = ClipEar(files, recognizer, log.running_time)
                else:
                    ear = KeyboardEar(_typed_lines(), sys.stderr, log.running_time)
                speaker = open_speaker(speech_file, open_voice=open_voice)
                opened.callback(speaker.close)
            screen = TextScreen(_PlainConsole(highlight=False))
            signals = StopSignals()
            opened.enter_context(signals.installed())
            end = hold(
                *(checked, ear, log, speaker, screen, variants, left_off, boards),
                equipment=tools,
                people=people,
                utc_now=utc_now,
                why_unheard=why_unheard,
                may_stop=signals.may_stop,
            )
    if end.phase is not Phase.FINISHED:
        done, steps = end.step, len(checked.steps)
        _tell(f"not finished: {done} of {steps} steps are done; step {done + 1} was waiting.")
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
    can_inspect: bool,
    open_voice: OpenVoice,
) -> "Iterator[tuple[Task, Record, dict[str, str], LeftOff | None, tuple[ListedTool, ...] | None]]":
    """The task, the record to write, new or gone on with, and what a task not begun is for.

    Last, the tools of the equipment list.
    """
    from handsfree.engine.wording import record_not_written
    from handsfree.record import Record, RecordNotWritten
    from handsfree.record.entries import read_entries
    from handsfree.record.replay import left_off
    from handsfree.speaking import open_speaker
    from handsfree.task.checks.calibration import refuse_expired, refuse_expired_since
    from handsfree.task.roster import refuse_without_roster

    began = time.monotonic()

    def since_start() -> timedelta:
        return timedelta(seconds=time.monotonic() - began)

    variants: dict[str, str] = {}
    if resume is None:
        assert task is not None
        checked, text = read_checked(task)
        variants = _variants(checked, variant)
        refuse_without_roster(checked, people)
    else:
        checked = cli_record.read_task_of(resume)
    if not can_inspect and any(step.inspection for step in checked.steps):
        raise Misuse(
            "run: the task has an inspection, and each headset is somebody else's. "
            "Name the inspector's with --inspector-device."
        )
    refuse_expired(checked.equipment, utc_now().date())
    tools = _tools(checked, equipment)
    own = cli_record.load_if_there(keys)
    try:
        if resume is None:
            folder = record or Path("records") / f"{utc_now():%Y%m%dT%H%M%SZ}-{checked.task}"
            log = Record(folder, text, utc_now, since_start, own)
        else:
            with waiting("Checking the record"):
                log = Record.go_on(resume, utc_now, since_start, own)
    except RecordNotWritten:
        # Also where it cannot even begin: whoever is at the work looks at no screen.
        speaker = open_speaker(speech_file, open_voice=open_voice)
        speaker.say(record_not_written().text)
        speaker.close()
        raise
    with log:
        with waiting("Replaying the record") if resume else nullcontext():
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
                checked, where.state.position.step, where.state.dates, utc_now().date()
            )
        yield checked, log, variants, where, tools


def _tell(text: str) -> None:
    """A line for the person at the terminal, if there still is one."""
    try:
        typer.echo(text)
    except OSError:
        # What is left unwritten would fail once more, and aloud, when the interpreter ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _typed_lines() -> TextIO:
    """Standard input; a byte that is not UTF-8 comes as a surrogate, and ends nothing."""
    if isinstance(sys.stdin, TextIOWrapper):
        sys.stdin.reconfigure(encoding="utf-8", errors="surrogateescape")
    return sys.stdin


def _people(roster: Path | None) -> "tuple[Person, ...]":
    from handsfree.task.roster import read_roster

    return () if roster is None else read_roster(text_of(roster), str(roster))


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
