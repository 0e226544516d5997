"""The sound of a scene, and what the real listeners hear of it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from functools import cache
from hashlib import sha256
from itertools import chain
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING

from handsfree.acoustics.mixing import Surroundings, heard_in
from handsfree.acoustics.noise import Noise
from handsfree.acoustics.noise_file import noise_in
from handsfree.acoustics.noises import NOISES, NoiseUnknown, noise_called
from handsfree.fleet import Needs, content_key
from handsfree.fleet.build import libraries_here
from handsfree.fleet.code import code_of
from handsfree.fleet.needs import brought, name_of
from handsfree.fleet.threads import at_once
from handsfree.hearing.audio import SAMPLE_RATE, Audio, Samples
from handsfree.hearing.clips import read_clip
from handsfree.hearing.models.versions import models_that_listen
from handsfree.hearing.recognizer import Recognizer
from handsfree.rehearse.plan import Scene
from handsfree.rehearse.taken_in import Recalling, TakenIn
from handsfree.rehearse.voices import Speakers, VoiceKind, engine_version, packages_of
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet

if TYPE_CHECKING:
    from collections.abc import Sequence

USUAL_NOISES = (
    *("hangar", "drill", "rivet-gun", "ground-power", "air-conditioning"),
    *("public-address", "babble"),
)
# What decides the sound of a scene, and what is heard of it; who says what when decides neither.
_CODE = (
    *("words", "hearing", "acoustics", "speaking"),
    *("rehearse/listening.py", "rehearse/taken_in.py", "rehearse/voices.py"),
)
_NOT_OF_A_CLIP = ("hearing/live", "hearing/likeness")
_NOISE_SEED = 1
_TALKS = VoiceKind("somebody", "built-in")
_OPENING = RLock()  # what is opened once in a process is waited for by all its threads
_SILENCE_S = 0.3  # before and after the words, as a microphone that is always open has it


@dataclass(frozen=True, slots=True)
class Source:
    """Where the speech of a scene comes from: a synthetic person, or a recording.

    A recording travels with its samples, for a worker on another machine does not have the file.
    """

    kind: VoiceKind | None = None
    recording: bytes = b""  # float32, mono at 16 kHz

    def content(self) -> str:
        """What decides the sound, besides the words."""
        if self.kind is not None:
            return f"{self.kind} {engine_version(self.kind)}"
        return sha256(self.recording).hexdigest()


def recorded(path: Path) -> Source:
    """The source of a recording; raises what `read_clip` raises."""
    return Source(recording=read_clip(path).samples.tobytes())


@dataclass(frozen=True, slots=True)
class ToHear:
    """One sound to be heard, with all that a worker needs to make and hear it."""

    key: str
    scene: Scene
    source: Source
    noise: str  # its name; of a recording the name of its content
    phrases: PhraseSet
    taken_in: Path | None = None  # the folder of what is known of the sound, where there is one


class Sounds:
    """What is to be heard of scenes, whose voices and noises are known by name."""

    def __init__(
        self, sources: Mapping[str, Source], noises: "Sequence[str]", folder: Path | None = None
    ) -> None:
        """`sources` by the name of the voice. A noise is a name, or the path of a sound file.

        In `folder` it is kept what a sound is before anything is listened for, see `TakenIn`.
        `needs` is then what whoever hears them must have. Raises NoiseUnknown and what `noise_in`
        raises, so that a noise that cannot be is told before any work.
        """
        self._sources = sources
        self._contents = {name: source.content() for name, source in sources.items()}
        self._noises: dict[str, str] = {}
        contents: list[bytes] = []
        for name in dict.fromkeys(noises):
            if name in NOISES:
                self._noises[name] = name
            elif Path(name).exists() or "." in name or "/" in name:
                contents.append(noise_in(Path(name)).samples.tobytes())
                self._noises[name] = name_of(contents[-1])
            else:
                raise NoiseUnknown(name)
        packages = (packages_of(each.kind) for each in sources.values() if each.kind is not None)
        self.needs = Needs(tuple(dict.fromkeys(chain.from_iterable(packages))), tuple(contents))
        self._made_and_heard_by = made_and_heard_by()
        self._folder = folder and folder / self._made_and_heard_by

    def to_hear(self, scene: Scene, phrases: PhraseSet) -> ToHear:
        """What is to be heard, under the key that stands for it."""
        key = content_key(
            (
                self._contents[scene.voice],
                scene.words,
                self._noises[scene.noise],
                scene.snr_db,
                scene.seed,
                self._made_and_heard_by,
            )
        )
        noise = self._noises[scene.noise]
        return ToHear(key, scene, self._sources[scene.voice], noise, phrases, self._folder)


@cache
def made_and_heard_by() -> str:
    """Of the code, the libraries and the models that make a sound and hear it."""
    code = tuple(code_of(each, _NOT_OF_A_CLIP) for each in _CODE)
    return content_key((code, libraries_here(), models_that_listen()))


def hear(asked: tuple[ToHear, ...]) -> tuple[Heard, ...]:
    """Make each sound and hear it, with models that stay loaded in this process.

    The same words by the same voice belong together, for whoever hears them renders them once.
    """
    return tuple(
        _ears(each.taken_in, at_once()).recognize(Audio(_sound(each), timedelta(0)), each.phrases)
        for each in asked
    )


def _sound(asked: ToHear) -> Samples:
    return _known_or_made(
        asked.taken_in,
        asked.key,
        lambda: sound_of(asked.scene, asked.source, asked.noise, asked.taken_in),
    )


def _known_or_made(folder: Path | None, name: str, make: Callable[[], Samples]) -> Samples:
    if folder is None:
        return make()
    taken_in = _taken_in(folder)
    known = taken_in.find(name)
    if known is None:
        known = make()
        taken_in.keep(name, known)
    return known


def sound_of(scene: Scene, source: Source, noise: str, taken_in: Path | None = None) -> Samples:
    """What the microphone of a headset gets, with `noise` and `taken_in` as in `ToHear`.

    Raises SpeechSilent, and what the sources raise.
    """
    import numpy as np

    if source.kind is not None:
        speech = _speakers().say(source.kind, scene.words)
    else:
        speech = np.frombuffer(source.recording, np.float32)
    silence = np.zeros(round(_SILENCE_S * SAMPLE_RATE), np.float32)
    around = Surroundings(noise_of(noise, taken_in), scene.snr_db)
    return heard_in(np.concatenate([silence, speech, silence]), around, scene.seed)


@cache
def noise_of(noise: str, taken_in: Path | None = None) -> Noise:
    """A noise by its name, or by the name of its content, which must have been brought here.

    Raises NotBrought.
    """
    import numpy as np

    if noise not in NOISES:
        return Noise(noise, np.frombuffer(brought(noise), np.float32))
    # What people say in some of them is said by the built-in voice.
    name = content_key((noise, engine_version(_TALKS)))
    made = _known_or_made(taken_in, name, lambda: noise_called(noise, _NOISE_SEED).samples)
    return Noise(noise, made)


def _ears(folder: Path | None, at_once: int) -> Recognizer:
    """The listeners, for so many sounds at the same time, and one for all that ask."""
    with _OPENING:
        return _opened_ears(folder, at_once)


@cache
def _opened_ears(folder: Path | None, at_once: int) -> Recognizer:
    from handsfree.hearing.opening import open_recognizer
    from handsfree.hearing.transcriber import Transcriber

    if folder is None:
        return open_recognizer(Transcriber(at_once=at_once))
    return open_recognizer(Recalling(_taken_in(folder), at_once))


@cache
def _taken_in(folder: Path) -> TakenIn:
    return TakenIn(folder)


def _speakers() -> Speakers:
    with _OPENING:
        return _opened_speakers()


@cache
def _opened_speakers() -> Speakers:
    import atexit

    speakers = Speakers()
    atexit.register(speakers.close)
    return speakers


def at_time(heard: Heard, now: timedelta, channel: int | None) -> Heard:
    """`heard` as it comes in a run: from `now` on, by a headset."""
    lasted = heard.ended - heard.started
    return replace(heard, started=now, ended=now + lasted, channel=channel)
