"""A folder of a team's own recordings, which say more of how a task will be heard than any voice.

A file is named by what is said in it, `charging-hose-fitted.wav`, with anything behind a dot or in
brackets to tell several apart: `charging-hose-fitted.anna.wav`. Or a table `recordings.csv` in the
folder tells of each file what is said: its columns are `file`, `words` and, if wanted, `speaker`.
"""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from hashlib import sha256
from io import StringIO
from pathlib import Path

import numpy as np

from handsfree.acoustics.level import SpeechSilent, speech_level
from handsfree.engine.phrases_now import phrases_now
from handsfree.errors import HandsfreeError, Misuse
from handsfree.files.plain import plain_bytes
from handsfree.hearing.agreement import canonical
from handsfree.hearing.audio import Audio
from handsfree.hearing.clips import read_clip
from handsfree.hearing.recognizer import Recognizer
from handsfree.hearing.trouble import trouble_of
from handsfree.rehearse.heard_surely import surely
from handsfree.rehearse.judging import standing_after
from handsfree.rehearse.moments import Moment
from handsfree.rehearse.plan import Scene, Settings, Trial, lowest, number
from handsfree.rehearse.report import LeftOut
from handsfree.rehearse.sayings import Kind
from handsfree.rehearse.trials import Stage
from handsfree.visible import visible
from handsfree.words.heard import Trouble
from handsfree.words.meanings import Understood
from handsfree.words.spoken_numbers import speak_text

TABLE = "recordings.csv"
_SUFFIXES = frozenset({".wav", ".flac", ".ogg", ".oga", ".aiff", ".aif", ".mp3"})
_SILENT_DB = -60.0  # of full scale; nobody is heard at that level
# Of the letters that a listener writes down freely, so many are in what should have been said, or
# it was something else. Judgement: "hydraulic pressure released" is written worse than that by
# nobody who was understood in quiet.
_LEAST_LIKE = 0.4


@dataclass(frozen=True, slots=True)
class Recording:
    """One file, and what is said in it."""

    path: Path
    words: str
    speaker: str


@dataclass(frozen=True, slots=True)
class Recordings:
    """What a folder holds: what counts, and what does not."""

    kept: tuple[Recording, ...] = ()
    left_out: tuple[LeftOut, ...] = ()


class NoRecordings(Misuse):
    """There is nothing to hear in the folder."""

    def __init__(self, folder: Path, why: str) -> None:
        super().__init__(
            f"{folder}: {why}. Name a folder of sound files, each named by what is said in it, "
            f"such as charging-hose-fitted.wav, or with a table {TABLE} of file and words."
        )


@dataclass(slots=True)
class _Sorted:
    kept: list[Recording] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)


def read_recordings(folder: Path, stage: Stage, recognizer: Recognizer) -> Recordings:
    """What is in `folder`, each file heard once in quiet. Raises NoRecordings."""
    listed = tuple(_listed(folder))
    if not listed:
        raise NoRecordings(folder, "no sound files are there")
    found = _Sorted()
    sounds: dict[str, Recording] = {}
    for each in listed:
        name = visible(each.path.name)
        try:
            audio = _sound_of(each)
        except HandsfreeError as error:
            found.left_out.append(LeftOut(file=name, why=visible(str(error))))
            continue
        first = sounds.setdefault(sha256(audio.samples.tobytes()).hexdigest(), each)
        if first is not each:
            why = f"the same sound as {visible(first.path.name)}, which counts once"
            found.left_out.append(LeftOut(file=name, why=why))
        elif why_not := _other_words(each, audio, stage, recognizer):
            found.left_out.append(LeftOut(file=name, why=why_not, other_words=True))
        else:
            found.kept.append(each)
    return Recordings(tuple(found.kept), tuple(found.left_out))


def recorded_trials(stage: Stage, recordings: Recordings, settings: Settings) -> tuple[Trial, ...]:
    """Each recording in noise, at one moment where its words answer, or else where they are wrong.

    It is heard once at each ratio, however many runs the voices have: one utterance in much noise
    is still one utterance, and would be taken for the evidence of many. The voice of its scene is
    the path of the file.
    """
    trials: list[Trial] = []
    for each in recordings.kept:
        at, kind = _moment_for(stage, each, settings)
        for snr_db in settings.snrs_db:
            key = f"{settings.seed}:{each.path.name}:0"
            noise = lowest(settings.noises, key)
            scene = Scene(str(each.path), each.words, noise, snr_db, number(f"{key}:{snr_db}"))
            trials.append(Trial(at, kind, scene))
    return tuple(trials)


def _moment_for(stage: Stage, each: Recording, settings: Settings) -> tuple[int, Kind]:
    def draw(moment: Moment) -> int:
        return number(f"{settings.seed}:{each.path.name}:{moment.name}")

    answered = [
        at for at, moment in enumerate(stage.moments) if _answers(stage, moment, each.words)
    ]
    places = answered or list(range(len(stage.moments)))
    at = min(places, key=lambda one: draw(stage.moments[one]))
    if answered:
        return at, Kind.ANSWER
    parsed = phrases_now(stage.task, stage.moments[at].state).parse(each.words.split())
    return at, Kind.MISTAKE if isinstance(parsed, Understood) else Kind.TALK


def _answers(stage: Stage, moment: Moment, words: str) -> bool:
    """Whether something follows from `words` at a moment: they are taken as an answer."""
    return standing_after(stage.task, moment.state, surely(words, moment.state.now)) is not None


def _listed(folder: Path) -> Iterator[Recording]:
    if not folder.is_dir():
        raise NoRecordings(folder, "is no folder")
    table = folder / TABLE
    if table.exists():
        yield from _tabled(folder, table)
        return
    for path in sorted(folder.iterdir()):
        if path.suffix.lower() in _SUFFIXES:
            said, _, speaker = path.stem.partition(".")
            words = re.sub(r"[\s_-]+", " ", re.sub(r"\(.*?\)", "", said)).strip().lower()
            yield Recording(path, speak_text(words), speaker)


def _tabled(folder: Path, table: Path) -> Iterator[Recording]:
    try:
        text = plain_bytes(table).decode("utf-8-sig")
        rows = list(csv.DictReader(StringIO(text, newline="")))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise NoRecordings(folder, f"{TABLE} cannot be read ({error})") from error
    for row_number, row in enumerate(rows, 2):
        name, words = row.get("file"), row.get("words")
        if not name or not words:
            raise NoRecordings(folder, f"{TABLE}, line {row_number}, lacks file or words")
        if Path(name).name != name:
            raise NoRecordings(folder, f"{TABLE}, line {row_number}: '{visible(name)}' is no name")
        said = " ".join(speak_text(words).lower().split())
        yield Recording(folder / name, said, row.get("speaker") or "")


class _Unusable(HandsfreeError):
    """A recording does not count, for a reason that is told as it is."""


def _sound_of(each: Recording) -> Audio:
    """The sound of a recording; raises _Unusable, and what `read_clip` raises."""
    audio = read_clip(each.path)
    try:
        if speech_level(audio.samples).active_db < _SILENT_DB:
            raise _Unusable("silent")
    except SpeechSilent as error:
        raise _Unusable("silent") from error
    if trouble_of(audio.samples) is Trouble.TOO_LOUD:
        raise _Unusable(
            "clipped: the peaks are cut off. Record it again, farther from the microphone"
        )
    return audio


def _other_words(each: Recording, audio: Audio, stage: Stage, recognizer: Recognizer) -> str | None:
    """Why it seems to hold other words than it should."""
    answering = [moment for moment in stage.moments if _answers(stage, moment, each.words)]
    moment = (answering or list(stage.moments))[0]
    heard = recognizer.recognize(audio, phrases_now(stage.task, moment.state))
    texts = [opinion.free_text for opinion in heard.opinions] + [" ".join(heard.words)]
    wanted = canonical(each.words)
    likeness = [SequenceMatcher(None, wanted, canonical(text)).ratio() for text in texts if text]
    if np.max(likeness, initial=0.0) >= _LEAST_LIKE:
        return None
    free = visible(max(texts, key=len, default=""))
    return f"other words than '{visible(each.words)}': heard was '{free}'"
