"""One clip, heard anew: a job for any worker, whatever else that has of the record."""

import logging
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from handsfree.errors import HandsfreeError, Misuse
from handsfree.hearing.clips import read_clip
from handsfree.hearing.models.installed import installed, installed_models
from handsfree.hearing.models.versions import models_that_listen
from handsfree.hearing.recognizer import Recognizer
from handsfree.words.heard import Trouble
from handsfree.words.phrases import PhraseSet

WHISPER = "whisper-tiny.en-int8"
ALL_THAT_LISTEN = ""  # the listeners of a run, as they weigh each other

_diagnostics = logging.getLogger(__name__)


class NoSuchListener(Misuse):
    """No model of that name can hear a clip by itself."""

    def __init__(self, name: str) -> None:
        known = ", ".join((WHISPER, *(each.name for each in installed_models())))
        super().__init__(
            f"No model {name} can listen by itself. Name one of {known}, or leave --model out to "
            "listen as a run does."
        )


@dataclass(frozen=True, slots=True)
class HearAgain:
    """A clip, with all that hearing it depends on."""

    clip: bytes  # a FLAC file
    phrases: PhraseSet  # that were listened for
    model: str  # by which one; ALL_THAT_LISTEN: as a run listens
    models: tuple[tuple[str, str], ...]  # each file that listens, with its SHA-256
    # The SHA-256 of the code, the models and the libraries, for the result hangs on them too: what
    # another version has heard and kept is not what this one hears.
    build: str


@dataclass(frozen=True, slots=True)
class HeardAgain:
    """What was heard in a clip."""

    words: tuple[str, ...]  # empty: nothing fitted
    score: float
    alternatives: tuple[tuple[str, ...], ...] = ()
    trouble: Trouble | None = None
    unheard: str = ""  # why the clip is no sound; then nothing was heard


def hear_again(given: HearAgain) -> HeardAgain:
    """Hear a clip; a pure job. Raises the errors of the models."""
    recognizer = _recognizer(given.model)
    # The door for sound takes a file, and knows what a hostile one can do.
    with tempfile.TemporaryDirectory(prefix="handsfree-rehear-") as folder:
        path = Path(folder) / "clip.flac"
        path.write_bytes(given.clip)
        try:
            audio = read_clip(path)
        except HandsfreeError as error:
            return HeardAgain((), 0.0, unheard=str(error).replace(f"{path}: ", ""))
    heard = recognizer.recognize(audio, given.phrases)
    return HeardAgain(heard.words, heard.score, heard.alternatives, heard.trouble)


def models_of(model: str) -> tuple[tuple[str, str], ...]:
    """Each file that listens, with its SHA-256; raises the errors of `models_that_listen`."""
    found = dict(models_that_listen())
    if model in {each.name for each in installed_models()}:
        found |= {f"{model}/{name}": each for name, each in installed(model).sha256.items()}
    return tuple(found.items())


def refuse_unknown(model: str) -> None:
    """Raise NoSuchListener where no model is called that and can hear a clip by itself."""
    if model not in (ALL_THAT_LISTEN, WHISPER, *(each.name for each in installed_models())):
        raise NoSuchListener(model)


@cache
def _recognizer(model: str) -> Recognizer:
    """Loaded once in each process."""
    # Imported here: they load the engines, and a process that only hands out work needs none.
    from handsfree.hearing.opening import open_recognizer
    from handsfree.hearing.transcriber import Transcriber
    from handsfree.hearing.vosk.one_more import open_listener

    known: dict[str, Callable[[], Recognizer]] = {
        ALL_THAT_LISTEN: open_recognizer,
        WHISPER: Transcriber,
    }
    return known[model]() if model in known else open_listener(model)
