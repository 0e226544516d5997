"""A folder with a model for Vosk, and the library that listens with it."""

import re
from pathlib import Path
from typing import Protocol

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import SAMPLE_RATE
from handsfree.hearing.vosk.grammar import Grammar

# Vosk's present layout, `ConfigureV2` in its `src/model.cc`.
_NEEDED = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf")
# The graph that a grammar can be put into comes in two parts; one ready-made graph takes its place
# where both are there, and cannot be restricted to anything.
_HELD = ("graph/HCLr.fst", "graph/Gr.fst", "graph/disambig_tid.int")
_READY_MADE = "graph/HCLG.fst"
_RATE = re.compile(r"^\s*--sample-frequency=(\d+)(?:\.0*)?\s*(?:#.*)?$", re.MULTILINE)
_KALDI_RATE = 16_000  # Hz, where mfcc.conf names none
_QUIET = -1


class VoskNotInstalled(HandsfreeError):
    """The library is not there, or does not load on this machine."""

    def __init__(self, reason: str) -> None:
        super().__init__(
            f"The vosk library cannot be used ({reason}). Install it with "
            "`python -m pip install 'vosk>=0.3.45'`."
        )


class NotAVoskModel(HandsfreeError):
    """A folder is no model."""

    def __init__(self, source: str, missing: tuple[str, ...]) -> None:
        super().__init__(
            f"{source}: is not a model for Vosk: {', '.join(missing)} missing. "
            "Name a folder, or a zip of one, that has am, conf and graph in it."
        )


class ModelNotRestrictable(HandsfreeError):
    """The model cannot be restricted to a phrase set."""

    def __init__(self, source: str) -> None:
        super().__init__(
            f"{source}: this model has one ready-made graph ({_READY_MADE}) and cannot be held to "
            "phrases. Take a model with graph/HCLr.fst and graph/Gr.fst, such as the small ones."
        )


class OtherSampleRate(HandsfreeError):
    """The model was trained on sound of another rate."""

    def __init__(self, source: str, rate: int) -> None:
        super().__init__(
            f"{source}: this model is for sound at {rate} Hz (conf/mfcc.conf), and handsfree "
            f"listens at {SAMPLE_RATE} Hz. Take a model for {SAMPLE_RATE} Hz."
        )


class VoskModelDamaged(HandsfreeError):
    """Vosk cannot listen with the model."""

    def __init__(self, name: str, reason: str) -> None:
        super().__init__(
            f"Speech model {name}: Vosk cannot listen with it ({reason}). It is damaged, or for "
            "another release of Vosk. Fetch it again."
        )


class VoskFailed(HandsfreeError):
    """The library gave up on an utterance."""

    def __init__(self, name: str, reason: str) -> None:
        super().__init__(
            f"Speech model {name}: Vosk failed on an utterance ({reason}), which is asked for "
            "again. If it happens often, leave it out with `handsfree models use`."
        )


class Decoder(Protocol):
    """What is used of `vosk.KaldiRecognizer`."""

    def AcceptWaveform(self, data: bytes) -> int: ...  # noqa: D102 see src/vosk_api.h
    def FinalResult(self) -> str: ...  # noqa: D102
    def SetWords(self, enable_words: bool) -> None: ...  # noqa: D102
    def SetMaxAlternatives(self, max_alternatives: int) -> None: ...  # noqa: D102


class Model(Protocol):
    """A loaded model: which words it knows, and decoders restricted to a grammar."""

    name: str

    def knows(self, word: str) -> bool:
        """Whether it can hear `word`."""

    def decoder(self, grammar: Grammar) -> Decoder:
        """A new decoder of 16-bit mono sound at 16 kHz; `grammar` has words."""


class VoskModel:
    """A model that the library has loaded."""

    def __init__(self, name: str, folder: Path) -> None:
        """Load it; raises the errors of `check_layout`, VoskNotInstalled or VoskModelDamaged.

        The library ends the whole process on some damaged files: `trial.py` finds those out in a
        process of its own, and `installed.py` keeps the SHA-256 of every file from then on.
        """
        check_layout(folder, str(folder))
        try:
            import vosk
        except (ImportError, OSError) as error:
            raise VoskNotInstalled(str(error)) from error
        self.name = name
        self._vosk = vosk
        vosk.SetLogLevel(_QUIET)
        try:
            self._model = vosk.Model(str(folder))
        except Exception as error:  # the library raises nothing more definite
            raise VoskModelDamaged(name, str(error)) from error

    def knows(self, word: str) -> bool:
        """Whether it can hear `word`."""
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def decoder(self, grammar: Grammar) -> Decoder:
        """A new decoder, restricted to `grammar`; raises VoskFailed."""
        try:
            decoder: Decoder = self._vosk.KaldiRecognizer(
                self._model, SAMPLE_RATE, grammar.as_json()
            )
        except Exception as error:  # the library raises nothing more definite
            raise VoskFailed(self.name, str(error)) from error
        return decoder


def check_layout(folder: Path, source: str) -> None:
    """Raise NotAVoskModel, ModelNotRestrictable or OtherSampleRate for what is of no use here.

    `source` is what a person calls it.
    """
    missing = tuple(each for each in _NEEDED if not (folder / each).is_file())
    if missing:
        raise NotAVoskModel(source, missing)
    if (folder / _READY_MADE).exists():
        raise ModelNotRestrictable(source)
    missing = tuple(each for each in _HELD if not (folder / each).is_file())
    if missing:
        raise NotAVoskModel(source, missing)
    settings = (folder / "conf/mfcc.conf").read_text(encoding="utf-8", errors="replace")
    named = _RATE.findall(settings)
    rate = int(named[-1]) if named else _KALDI_RATE
    if rate != SAMPLE_RATE:
        raise OtherSampleRate(source, rate)
