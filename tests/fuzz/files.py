"""Files that a person names: tasks, rosters, equipment lists, data modules, clips, models."""

import io
import zipfile
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import soundfile
import yaml

from handsfree.authoring.data_module import read_module
from handsfree.authoring.draft_yaml import draft_yaml
from handsfree.cli.common import content_of, text_of
from handsfree.engine.advance import advance, before_start
from handsfree.engine.effects import Finish
from handsfree.engine.events import Spoken, Started
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.state import State
from handsfree.hearing.clips import read_clip
from handsfree.hearing.models.installing import add_model
from handsfree.rehearse import warnings_about
from handsfree.review.sheet import sheet_of
from handsfree.review.sheet_html import sheet_page
from handsfree.task.checks.advice import advise
from handsfree.task.equipment_list import read_equipment
from handsfree.task.expectations import ConfirmExpected
from handsfree.task.model import Task
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_and_prove, read_task
from handsfree.task.roster import read_roster, refuse_without_roster
from handsfree.task.source import read_source
from tests.engine.conversation import heard
from tests.fuzz.family import DataLost, Family, Verdict
from tests.fuzz.mutate import NASTY, bytes_changed, text_changed, tree_changed
from tests.hearing.model_folder import model_folder, zip_of
from tests.shipped_tasks import FOLDER
from tests.small_task import SMALL


def _yaml_of(value: Any, random: Random) -> str:
    wide = random.choice((40, 10_000))
    return yaml.safe_dump(value, sort_keys=False, allow_unicode=random.random() < 0.5, width=wide)


def _text_of_yaml(good: str, random: Random) -> bytes:
    """A file of YAML changed in its values, in its text or in its bytes."""
    way = random.random()
    if way < 0.6:
        try:
            changed = tree_changed(yaml.load(good, yaml.BaseLoader), random)
            return _yaml_of(changed, random).encode("utf-8", "surrogatepass")
        except (yaml.YAMLError, AttributeError, TypeError):
            way = 0.7  # half a surrogate pair, which PyYAML does not write
    if way < 0.9:
        return text_changed(good, random).encode("utf-8", "surrogatepass")
    return bytes_changed(good.encode(), random)


class Tasks(Family):
    """Read, proved, reviewed, and talked through in random words."""

    name = "tasks"
    good = (
        SMALL,
        SMALL,
        *((FOLDER / f"{each}.yaml").read_text() for each in ("accumulator-nitrogen",)),
    )

    def make(self, random: Random) -> bytes:
        if random.random() < 0.02:
            return _text_of_yaml((FOLDER / "door-slide-refit.yaml").read_text(), random)
        return _text_of_yaml(random.choice(self.good), random)

    def use(self, content: bytes, random: Random) -> Verdict:
        path = self.folder / "task.yaml"
        path.write_bytes(content)
        task, _, source = read_and_prove(text_of(path), str(path))
        for each in advise(task, source):
            each.advise(str(path))
        warnings_about(task, source)
        sheet_page(sheet_of(task, "0" * 64))
        _talk(task, random)
        return Verdict.TAKEN


def _talk(task: Task, random: Random) -> None:
    refuse_without_roster(task, ())
    variants = tuple((name, random.choice(values)) for name, values in task.variants.items())
    state, effects = advance(task, before_start(task), Started((), variants))
    for _ in range(40):
        if any(isinstance(each, Finish) for each in effects):
            return
        while state.speaking:
            state, effects = advance(task, state, Spoken())
        if any(isinstance(each, Finish) for each in effects):
            return
        words = _something_to_say(task, state, random)
        state, effects = advance(task, state, heard(words))


def _something_to_say(task: Task, state: State, random: Random) -> str:
    step = task.steps[min(state.step, len(task.steps) - 1)]
    known = sorted(phrases_now(task, state).vocabulary) or ["affirm"]
    match random.randrange(4):
        case 0 if isinstance(step.expect, ConfirmExpected):
            return step.expect.confirm
        case 1:
            return " ".join(random.choice(("one", "two", "niner", "zero")) for _ in range(4))
        case 2:
            return "affirm"
    return " ".join(random.choice(known) for _ in range(random.randrange(1, 6)))


class Rosters(Family):
    """Read, with each name shown."""

    name = "rosters"
    good = (FOLDER / "door-slide-roster.yaml").read_text()

    def make(self, random: Random) -> bytes:
        return _text_of_yaml(self.good, random)

    def use(self, content: bytes, random: Random) -> Verdict:
        path = self.folder / "roster.yaml"
        path.write_bytes(content)
        try:
            people = read_roster(text_of(path, "a roster"), str(path))
        except TaskFileError as error:
            # Only where the file itself speaks of one.
            known = b"task" in content.lower()
            if not known and "task" in str(error).replace(str(path), "").lower():
                raise RuntimeError(f"a roster is called a task: {error}") from error
            raise
        for person in people:
            assert person.name.strip()
        return Verdict.TAKEN


class EquipmentLists(Family):
    """Read."""

    name = "equipment lists"
    good = (FOLDER / "door-slide-equipment.csv").read_text()

    def make(self, random: Random) -> bytes:
        if random.random() < 0.7:
            return text_changed(self.good, random).encode("utf-8", "surrogatepass")
        return bytes_changed(self.good.encode(), random)

    def use(self, content: bytes, random: Random) -> Verdict:
        path = self.folder / "list.csv"
        path.write_bytes(content)
        read_equipment(content_of(path, "an equipment list"), str(path))
        return Verdict.TAKEN


class Modules(Family):
    """Imported: the draft is a file that `check` reads, and refuses as a draft."""

    name = "data modules"
    good = next(FOLDER.glob("DMC-*.xml")).read_bytes()

    def make(self, random: Random) -> bytes:
        if random.random() < 0.3:
            return bytes_changed(self.good, random)
        text = self.good.decode()
        for _ in range(random.choice((1, 1, 2, 4))):
            at = text.find("<", random.randrange(len(text)))
            end = text.find(">", at) + 1
            match random.randrange(6):
                case 0:
                    text = text[:at] + text[end:]
                case 1:
                    text = text[:end] + text[at:end] + text[end:]
                case 2:
                    text = text[:end] + _for_xml(random.choice(NASTY)) + text[end:]
                case 3:
                    other = text.find("<", random.randrange(len(text)))
                    text = text[:at] + text[other : text.find(">", other) + 1] + text[end:]
                case 4:
                    piece = text[at : at + random.choice((100, 1000))]
                    text = text[:at] + piece * random.choice((2, 30)) + text[at:]
                case _:
                    entity = random.choice(("&#0;", "&#x202e;", "&lol;", "&#55296;", "]]>", "<!--"))
                    text = text[:end] + entity + text[end:]
        return text.encode("utf-8", "surrogatepass")

    def use(self, content: bytes, random: Random) -> Verdict:
        path = self.folder / "module.xml"
        path.write_bytes(content)
        draft = draft_yaml(read_module(content_of(path, "a data module"), str(path)))
        read_source(draft, "draft.yaml")
        try:
            read_task(draft, "draft.yaml")
        except TaskFileError:
            return Verdict.TAKEN
        raise DataLost("a draft was taken for a task")


def _for_xml(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;")


class Clips(Family):
    """Sound files, mostly with changed headers."""

    name = "clips"

    def __init__(self, folder: Path, seconds: float = 0.1) -> None:
        super().__init__(folder)
        tone = np.sin(np.arange(round(seconds * 16_000)) / 3)
        self._good: list[tuple[str, bytes]] = [(".raw", (tone * 9000).astype("<i2").tobytes())]
        for format_, subtype, suffix in (
            ("WAV", "PCM_16", ".wav"),
            ("WAV", "GSM610", ".wav"),
            ("WAV", "FLOAT", ".wav"),
            ("FLAC", "PCM_16", ".flac"),
            ("OGG", "VORBIS", ".ogg"),
            ("OGG", "OPUS", ".oga"),
            ("AIFF", "PCM_24", ".aiff"),
            ("MP3", "MPEG_LAYER_III", ".mp3"),
        ):
            stream = io.BytesIO()
            soundfile.write(stream, tone, 16_000, format=format_, subtype=subtype)
            self._good.append((suffix, stream.getvalue()))

    def make(self, random: Random) -> bytes:
        suffix, good = random.choice(self._good)
        head = random.choice((44, 64, 200, len(good)))
        content = bytes_changed(good[:head], random) + good[head:]
        if random.random() < 0.2:
            content = good[: random.randrange(len(good))]
        return suffix.encode().ljust(8) + content

    def use(self, content: bytes, random: Random) -> Verdict:
        path = self.folder / f"clip{content[:8].decode().strip()}"
        path.write_bytes(content[8:])
        audio = read_clip(path)
        assert np.isfinite(audio.samples).all()
        return Verdict.TAKEN


class Models(Family):
    """Packages of a model, added or refused with nothing left behind."""

    name = "model packages"

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self._good = zip_of(model_folder(folder / "small"), folder / "good.zip").read_bytes()

    def make(self, random: Random) -> bytes:
        if random.random() < 0.6:
            return bytes_changed(self._good, random)
        stream = io.BytesIO()
        with (
            zipfile.ZipFile(stream, "w") as archive,
            zipfile.ZipFile(io.BytesIO(self._good)) as old,
        ):
            for entry in old.infolist():
                name = entry.filename
                if random.random() < 0.2:
                    piece = random.choice((*NASTY, "..", "/", "a/" * 600, "C:", "con", "."))
                    name = name.replace("/", f"/{piece}", 1)
                made = zipfile.ZipInfo(name.encode("utf-8", "replace").decode())
                made.external_attr = random.choice((0, 0o120777 << 16, 0o010644 << 16, 2**32 - 1))
                archive.writestr(made, old.read(entry))
        return stream.getvalue()

    def use(self, content: bytes, random: Random) -> Verdict:
        from tests.fuzz.environment import models_folder

        path = self.folder / "model.zip"
        path.write_bytes(content)
        models = self.folder / "models"
        with models_folder(models):
            try:
                add_model(str(path), "fuzzed", trial=lambda *_: ())
            finally:
                left = {each.name for each in models.iterdir()} - {"catalogue.toml"}
                if left - {"fuzzed", "listening.toml"}:
                    raise DataLost(f"left behind: {left}")
        return Verdict.TAKEN


FILES = (Tasks, Rosters, EquipmentLists, Modules, Clips, Models)
