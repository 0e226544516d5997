"""What a run has of the terminal besides the screen: lines for the person there, and typed ones."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from typing import TextIO

import typer

from handsfree.cli.run_request import RunRequest
from handsfree.speaking.voices import OpenVoice


@contextmanager
def telling(request: RunRequest, open_voice: OpenVoice) -> Iterator[Callable[[str], None]]:
    """Say and show something before the run; only show it where the speech goes to a file."""
    from handsfree.speaking import open_speaker

    if request.speech_file:
        yield tell
        return
    speaker = open_speaker(None, open_voice=open_voice)

    def tell_and_say(text: str) -> None:
        tell(text)
        speaker.say(text)

    try:
        yield tell_and_say
    finally:
        speaker.close()


def tell(text: str) -> None:
    """A line for the person at the terminal, if there still is one."""
    try:
        typer.echo(text)
    except OSError:
        # What is left unwritten would fail once more, and aloud, when the interpreter ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def typed_lines() -> TextIO:
    """Standard input; a byte that is not UTF-8 comes as a surrogate, and ends nothing."""
    if isinstance(sys.stdin, TextIOWrapper):
        sys.stdin.reconfigure(encoding="utf-8", errors="surrogateescape")
    return sys.stdin
