"""The program flite, where it is installed: four more voices to rehearse with."""

import shutil
import subprocess
from functools import cache
from pathlib import Path

from handsfree.speaking.engine_process import SpeechEngineFailed

_PATIENCE_S = 30
_NOT_ENGLISH_TEXT = frozenset({"awb_time"})  # it tells the time only


class FliteFailed(SpeechEngineFailed):
    """The program ended without any sound."""

    called = "The program flite"
    mended_by = "install it again (Debian, Ubuntu: apt install --reinstall flite)"


@cache
def flite_voices() -> tuple[str, ...]:
    """The voices that flite has, by its own names; none where it is not installed."""
    program = shutil.which("flite")
    if program is None:
        return ()
    try:
        done = subprocess.run([program, "-lv"], capture_output=True, text=True, timeout=_PATIENCE_S)
    except (OSError, subprocess.SubprocessError):
        return ()
    named = done.stdout.partition(":")[2].split()
    return tuple(sorted(set(named) - _NOT_ENGLISH_TEXT))


class FliteEngine:
    """One voice of flite; a program is run for each utterance."""

    failed = FliteFailed

    def __init__(self, voice: str, folder: Path, speed: float) -> None:
        """It keeps nothing in `folder`."""
        del folder
        self._voice = voice
        self._stretch = 1 / speed

    def render(self, text: str, file: Path) -> None:
        """Have `text` spoken into `file`; raises FliteFailed."""
        stretch = f"duration_stretch={self._stretch:.3f}"
        asked = ["flite", "-voice", self._voice, "--setf", stretch, "-t", text, "-o", str(file)]
        try:
            done = subprocess.run(asked, capture_output=True, text=True, timeout=_PATIENCE_S)
        except (OSError, subprocess.SubprocessError) as error:
            raise self.failed(str(error)) from error
        if done.returncode:
            raise self.failed(done.stderr.strip() or f"it ended with status {done.returncode}")

    def close(self) -> None:
        """Nothing is left to end."""
