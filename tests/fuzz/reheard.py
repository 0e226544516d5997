"""What comes into a rehearsal and a rehearing: records to hear anew, and the sound of a place."""

import hashlib
import shutil
from pathlib import Path
from random import Random

import numpy as np
import pytest

from handsfree.acoustics.mixing import Surroundings, heard_in
from handsfree.acoustics.noise_file import noise_in
from handsfree.cli.rehear_shown import as_object, told
from handsfree.fleet import InOneProcess
from handsfree.hearing.audio import Audio
from handsfree.rehear import hearing_again
from handsfree.rehear.rehearing import Reheard, open_records, rehear
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet
from tests.fuzz.family import DataLost, Verdict
from tests.fuzz.files import Clips
from tests.fuzz.running import Records


class _AnyWords:
    """A recognizer that hears whatever words the phrases have."""

    def __init__(self, random: Random) -> None:
        self._random = random

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        known = sorted(phrases.vocabulary)
        words = (self._random.choice(known) for _ in range(self._random.randrange(5)))
        score = self._random.random()
        return Heard(tuple(words), score, (), (), audio.started, audio.ended)


class ReheardRecords(Records):
    """A record with entries, task, seals or clips changed, heard anew: nothing in it is altered."""

    name = "records heard anew"

    def use(self, content: bytes, random: Random) -> Verdict:
        name, _, changed = content.partition(b"\n")
        folder = self.folder / "run"
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(self._good, folder)
        (folder / name.decode()).write_bytes(changed)
        before = _content(folder)
        found = Reheard()
        with pytest.MonkeyPatch.context() as patched:
            patched.setattr(hearing_again, "_recognizer", lambda _: _AnyWords(random))
            rehear(open_records([folder], found), found, "", InOneProcess())
        for line in told(found, complete=True):
            if not line.isprintable():
                raise DataLost(f"a line that acts on a terminal: {line!r}")
        as_object(found, complete=True)
        if _content(folder) != before:
            raise DataLost("the record was altered")
        return Verdict.REFUSED if found.problems else Verdict.TAKEN


class Places(Clips):
    """The sound of a place, mostly with a changed header: mixed with speech."""

    name = "sounds of a place"

    def __init__(self, folder: Path) -> None:
        super().__init__(folder, seconds=6.0)
        self._speech = (np.sin(np.arange(8_000) / 5) / 2).astype(np.float32)

    def use(self, content: bytes, random: Random) -> Verdict:
        path = self.folder / f"place{content[:8].decode().strip()}"
        path.write_bytes(content[8:])
        place = Surroundings(noise_in(path), random.choice((-20.0, 0.0, 30.0)))
        heard = heard_in(self._speech, place, random.randrange(1 << 32))
        assert np.isfinite(heard).all()
        assert np.abs(heard).max() <= 1
        return Verdict.TAKEN


def _content(folder: Path) -> dict[Path, str]:
    return {
        each: hashlib.sha256(each.read_bytes()).hexdigest()
        for each in sorted(folder.rglob("*"))
        if each.is_file()
    }


REHEARD = (ReheardRecords, Places)
