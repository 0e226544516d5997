"""What is kept of a sound, and that nothing is heard otherwise with it."""

import os
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from handsfree.engine.phrases_now import phrases_now
from handsfree.fleet import Job
from handsfree.fleet.threads import InThreads
from handsfree.hearing.whisper import Whisper
from handsfree.rehearse import listening
from handsfree.rehearse.listening import Sounds, Source, ToHear, hear
from handsfree.rehearse.plan import Scene
from handsfree.rehearse.taken_in import TakenIn
from tests.rehearse.stages import KINDS, stage

SOUND = np.random.default_rng(1).normal(0, 0.1, 16_000).astype(np.float32)
A, B, C, D = ("a" * 64, "b" * 64, "c" * 64, "d" * 64)


def files_in(folder: Path) -> list[Path]:
    return sorted(each for each in folder.rglob("*") if each.is_file())


def test_the_same_bits_come_back_under_their_name(tmp_path: Path) -> None:
    two = np.stack([SOUND, -SOUND])[None]
    taken_in = TakenIn(tmp_path / "taken-in" / "1")
    taken_in.keep(A, SOUND)
    taken_in.keep(B, two)
    for name, kept in ((A, SOUND), (B, two)):
        found = TakenIn(tmp_path / "taken-in" / "1").find(name)
        assert found is not None
        assert (found.dtype, found.shape, found.tobytes()) == (
            kept.dtype,
            kept.shape,
            kept.tobytes(),
        )
    assert taken_in.find(C) is None
    assert TakenIn(tmp_path / "taken-in" / "2").find(A) is None


def _cut(content: bytes) -> bytes:
    return content[:-1]


def _flipped(content: bytes) -> bytes:
    return content[:-1] + bytes([content[-1] ^ 1])


@pytest.mark.parametrize("damage", [_cut, _flipped, lambda _: b"", lambda _: b"\x00" * 500])
def test_what_is_damaged_is_not_there(tmp_path: Path, damage: Callable[[bytes], bytes]) -> None:
    taken_in = TakenIn(tmp_path / "1")
    taken_in.keep(A, SOUND)
    (path,) = files_in(tmp_path)
    path.write_bytes(damage(path.read_bytes()))
    assert taken_in.find(A) is None
    taken_in.keep(A, SOUND)
    assert taken_in.find(A) is not None


def test_what_was_not_asked_for_the_longest_goes_first(tmp_path: Path) -> None:
    """Of other code too, for nobody asks for that again."""
    older = TakenIn(tmp_path / "1")
    older.keep(A, SOUND)
    older.keep(B, SOUND)
    for at, path in enumerate(files_in(tmp_path)):
        os.utime(path, (at, at))
    assert older.find(A) is not None  # and B is now the one that nobody asked for
    taken_in = TakenIn(tmp_path / "2", most_bytes=240_000)
    taken_in.keep(C, SOUND)
    taken_in.keep(D, SOUND)
    taken_in.keep(C, SOUND)
    taken_in.keep(D, SOUND)
    assert sum(each.stat().st_size for each in files_in(tmp_path)) <= 240_000
    assert older.find(B) is None
    assert taken_in.find(C) is not None
    assert taken_in.find(D) is not None


def test_where_nothing_can_be_kept_nothing_is_raised(tmp_path: Path) -> None:
    (tmp_path / "1").touch()
    taken_in = TakenIn(tmp_path / "1")
    taken_in.keep(A, SOUND)
    assert taken_in.find(A) is None


WORDS = ("charging hose fitted", "two one degrees celsius")


def asked(folder: Path | None, snr_db: float = 5.0) -> tuple[ToHear, ...]:
    """Each of `WORDS` in noise, where a value is wanted and where a phrase is."""
    sounds = Sounds({each.name: Source(each) for each in KINDS}, ("drill",), folder)
    phrases = [phrases_now(stage().task, each.state) for each in stage().moments[2:4]]
    return tuple(
        sounds.to_hear(Scene("anna", words, "drill", snr_db, 7), each)
        for words in WORDS
        for each in phrases
    )


@pytest.mark.slow
def test_all_is_heard_the_same_with_what_is_kept_and_without(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One after the other and side by side."""
    heard = hear(asked(None))
    assert len({each.words for each in heard}) > 2  # it is not nothing each time
    jobs = [Job(hear, (each,)) for each in asked(tmp_path)]
    found = dict(InThreads(2).results(jobs))
    assert [found[at] for at in range(len(jobs))] == [(each,) for each in heard]
    with monkeypatch.context() as changed:
        changed.setattr(Whisper, "encode", None)
        changed.setattr(listening, "sound_of", None)
        assert hear(asked(tmp_path)) == heard  # by what is kept alone
    for path in files_in(tmp_path):
        path.write_bytes(path.read_bytes()[:-4] + b"\x00\x00\x80\x3f")
    assert hear(asked(tmp_path)) == heard
