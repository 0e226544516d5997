"""`handsfree practise`: a harmless task that teaches the words, and how each of them was heard."""

import tempfile
from contextlib import ExitStack
from pathlib import Path
from typing import Annotated

import typer

from handsfree.cli.common import VoiceOption
from handsfree.cli.run import held
from handsfree.cli.run_request import RunRequest
from handsfree.places import shipped_tasks
from handsfree.speaking.voices import VoiceName


def practise(
    keyboard: Annotated[bool, typer.Option("--keyboard", help="Type what would be said.")] = False,
    clips: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Hear these sound files, in the order of their names."),
    ] = None,
    device: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="The microphone, if not the default one."),
    ] = None,
    record: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Keep the record there; else nothing is kept."),
    ] = None,
    speech_file: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Keep the tool's speech in a WAV file, unheard."),
    ] = None,
    voice: VoiceOption = VoiceName.BUILT_IN,
) -> None:
    """Practise the words for five minutes, and hear how well each was heard."""
    from handsfree.record.entries import read_entries
    from handsfree.rehearse.heard import heard_words
    from handsfree.words.heard import Heard

    with ExitStack() as opened:
        folder = record
        if folder is None:
            made = tempfile.TemporaryDirectory(prefix="handsfree-practice-")
            folder = Path(opened.enter_context(made)) / "record"
        held(
            RunRequest(
                task=shipped_tasks() / "practice.yaml",
                clips=clips,
                keyboard=keyboard,
                record=folder,
                resume=None,
                keys=None,
                speech_file=speech_file,
                voice=voice,
                manner=None,
                roster=None,
                variant=(),
                equipment=None,
                board=False,
                board_host=None,
                board_port=None,
                device=device,
                second_device=None,
                second_channel=None,
                inspector_device=None,
                voice_stops_speech=False,
                rehearse_clock=1,
            )
        )
        hearings = [each.value for each in read_entries(folder) if each.kind == "heard"]
        said = heard_words(each for each in hearings if isinstance(each, Heard))
    if record is None:
        typer.echo("That record is removed: nothing of it is kept.")
    for each in said:
        words = each.words or "(nothing that fits)"
        typer.echo(f"{words:<40} {len(each.scores):2} x  {each.mean:.2f}  {each.advice}")
