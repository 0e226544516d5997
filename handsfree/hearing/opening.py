"""The recognizer that a run has: the models that come with handsfree, and what was installed."""

import logging

from handsfree.errors import HandsfreeError
from handsfree.hearing.listeners import READER, TwoListeners
from handsfree.hearing.models.catalogue import read_catalogue
from handsfree.hearing.reader import Reader
from handsfree.hearing.recognizer import Recognizer
from handsfree.hearing.short_window import ShortWindow
from handsfree.hearing.transcriber import Transcriber
from handsfree.hearing.vosk.one_more import with_installed

_diagnostics = logging.getLogger(__name__)


def open_reader() -> Reader:
    """The reader that comes with handsfree; or the errors of `catalogue`, or NetworkUnusable."""
    entry = read_catalogue().entry(READER)
    return Reader(entry.name, entry.verified_files())


def open_recognizer(transcriber: Transcriber | None = None) -> Recognizer:
    """The embedded listeners; Whisper alone, with one line that says why, where the reader fails.

    Where a model was installed and chosen, it listens too. Raises the errors of `catalogue` where
    Whisper, unless it is given as `transcriber`, cannot be loaded either.
    """
    transcriber = transcriber or Transcriber()
    embedded: Recognizer
    try:
        embedded = TwoListeners(transcriber, open_reader(), _open_short_window())
    except HandsfreeError as error:
        _diagnostics.warning("%s Listening with %s alone.", error, transcriber.name)
        embedded = transcriber
    return with_installed(embedded)


def _open_short_window() -> ShortWindow | None:
    try:
        return ShortWindow()
    except HandsfreeError as error:
        _diagnostics.warning("%s Phrases are heard as well, in half a second more.", error)
        return None
