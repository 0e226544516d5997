"""The command that does a task: parse, open what is needed, run."""

import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.cli.common import VoiceOption, utc_now, waiting
from handsfree.cli.keys_given import KeysFolder
from handsfree.cli.opened_run import open_run, read_people
from handsfree.cli.run_request import RunRequest
from handsfree.cli.terminal import tell, telling, typed_lines
from handsfree.engine.manner import Manner
from handsfree.speaking.voices import VoiceName, voice_called

if TYPE_CHECKING:
    from handsfree.cli.digit_check import Checked
    from handsfree.engine.delivery import Delivery
    from handsfree.engine.state import State
    from handsfree.running.parts import Follower
    from handsfree.task.model import Task


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
    keys: KeysFolder = None,
    speech_file: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Keep the tool's speech in a WAV file, unheard."),
    ] = None,
    voice: VoiceOption = VoiceName.BUILT_IN,
    manner: Annotated[
        Manner | None,
        typer.Option(
            help="How much is said; brisk is for people who know the task.  (default: full)",
            show_default=False,
        ),
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
    inspector_device: Annotated[
        str | None, typer.Option(metavar="NAME", help="The inspector's microphone.")
    ] = None,
    voice_stops_speech: Annotated[
        bool,
        typer.Option(
            "--voice-stops-speech",
            help="The technician's voice stops an instruction. Only with headsets that the tool's "
            "own voice does not reach; a warning or caution is stopped by the word stop alone.",
        ),
    ] = False,
    rehearse_clock: Annotated[
        int,
        typer.Option(
            metavar="N",
            min=1,
            max=3600,
            help="Try a task with waits: N times as fast, by --keyboard. Its record says so.",
        ),
    ] = 1,
    hearing_check: Annotated[
        bool,
        typer.Option(
            "--hearing-check",
            help="Before the task, each person says ten digits; who is misheard must be heard "
            "more surely in it.",
        ),
    ] = False,
) -> None:
    """Do a task by voice, live; or from recorded clips, or by typed words."""
    try:
        end, steps = held(
            RunRequest(
                task=task,
                clips=clips,
                keyboard=keyboard,
                record=record,
                resume=resume,
                keys=keys,
                speech_file=speech_file,
                voice=voice,
                manner=manner,
                roster=roster,
                variant=tuple(variant or ()),
                equipment=equipment,
                board=board,
                board_host=board_host,
                board_port=board_port,
                device=device,
                second_device=second_device,
                second_channel=second_channel,
                inspector_device=inspector_device,
                voice_stops_speech=voice_stops_speech,
                rehearse_clock=rehearse_clock,
                hearing_check=hearing_check,
            )
        )
    except KeyboardInterrupt as stop:
        tell(f"not begun: {str(stop) or 'interrupted'}.")
        raise typer.Exit(1) from None
    from handsfree.engine.phase import Phase

    if end.phase is not Phase.FINISHED:
        done = end.step
        tell(f"not finished: {done} of {steps} steps are done; step {done + 1} was waiting.")
        raise typer.Exit(1)


def held(request: RunRequest) -> "tuple[State, int]":
    """Open what the request needs and hold the conversation: where it ended, of how many steps."""
    from rich.console import Console

    from handsfree.cli.digit_check import check_people
    from handsfree.hearing.opening import open_recognizer
    from handsfree.running.ears import ClipEar, KeyboardEar, clips_in
    from handsfree.running.live import live_parts
    from handsfree.running.loop import run as converse
    from handsfree.running.parts import Ear, Utterance
    from handsfree.running.screen import TextScreen
    from handsfree.running.signals import StopSignals
    from handsfree.speaking import Speaker, open_speaker

    class PlainConsole(Console):
        def on_broken_pipe(self) -> None:
            """Rich would end the program; the voice can go on."""
            raise BrokenPipeError("nobody reads what is shown")

    open_voice = voice_called(request.voice)
    people = read_people(request.roster)
    files = clips_in(request.clips) if request.clips else ()
    headsets = request.headsets()
    microphones = headsets.microphones() if request.is_live else ()
    with nullcontext() if request.keyboard else waiting():
        recognizer = None if request.keyboard else open_recognizer()
    with open_run(request, people, open_voice) as run, ExitStack() as opened:
        ear: Ear
        speaker: Speaker
        speak_as: Callable[[Delivery], None]
        why_unheard: Callable[[], str | None] | None = None  # else the screen is read
        stop_said: Callable[[], Utterance | None] | None = None  # else nothing is heard meanwhile
        signals = StopSignals()
        if request.rehearse_clock != 1:
            tell(f"A trial: one second here counts as {request.rehearse_clock}.")
        opened.callback(lambda: tell(f"record: {run.record.folder}"))
        checked: Checked = ()
        with run.until_begun(open_voice):
            followers = opened.enter_context(_shown(run.task, request))
            if recognizer is not None and request.is_live:
                if request.hearing_check:
                    with telling(request, open_voice) as say:
                        checked = check_people(headsets.lines(), microphones, recognizer, say, tell)
                parts = live_parts(
                    run.task,
                    microphones,
                    headsets,
                    recognizer,
                    request.speech_file,
                    open_voice,
                    utc_now,
                    run.record.running_time,
                    typed_lines() if sys.stdin.isatty() else None,
                )
                live = opened.enter_context(parts)
                ear, speaker, followers = live.ear, live.speaker, (*followers, *live.followers)
                why_unheard, speak_as = live.why_unheard, live.speak_as
                stop_said = live.stop_said
            else:
                if recognizer is not None:
                    ear = ClipEar(files, recognizer, run.record.running_time)
                else:
                    ear = KeyboardEar(typed_lines(), sys.stderr, run.record.running_time)
                own_speaker = open_speaker(request.speech_file, open_voice=open_voice)
                opened.callback(own_speaker.close)
                speaker, speak_as = own_speaker, own_speaker.speak_as
            opened.enter_context(signals.installed())
        end = converse(
            run.task,
            ear,
            run.record,
            speaker,
            TextScreen(PlainConsole(highlight=False)),
            variants=run.variants,
            left_off=run.left_off,
            followers=followers,
            equipment=run.tools,
            people=people,
            utc_now=utc_now,
            why_unheard=why_unheard,
            stop_said=stop_said,
            may_stop=signals.may_stop,
            manner=request.manner or Manner.FULL,
            speak_as=speak_as,
            checked=checked,
        )
        return end, len(run.task.steps)


@contextmanager
def _shown(task: "Task", request: RunRequest) -> "Iterator[tuple[Follower, ...]]":
    """The board, if it is wanted and can be opened; without it the voice is enough."""
    if not request.board:
        yield ()
        return
    from handsfree.board.live import DEFAULT_HOST, DEFAULT_PORT, BoardNotOpened, OpenBoard

    port = DEFAULT_PORT if request.board_port is None else request.board_port
    try:
        opened = OpenBoard(task, request.board_host or DEFAULT_HOST, port)
    except BoardNotOpened as error:
        print(error, file=sys.stderr)
        opened = None
    if opened is None:
        yield ()
        return
    with opened:
        typer.echo(f"board: {opened.url}")
        yield (opened.board,)
