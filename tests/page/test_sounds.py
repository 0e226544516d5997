"""However much sound a record holds or claims to hold, a page takes in no more than people say."""

import io
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
import soundfile
from lxml import html

from handsfree.hearing.audio import SAMPLE_RATE, Audio
from handsfree.page import sounds, voices
from handsfree.page.page_html import record_page
from handsfree.page.sounds import LONGEST, Decoding, sounds_of
from handsfree.page.voices import MOST_CLIPS, MOST_ROLES, compare_voices
from handsfree.page.writing import page_of, pictures_of
from handsfree.record.clips import encode_flac, name_of, path_of
from handsfree.record.entries import LoggedEntry, read_entries
from handsfree.record.speakers import Speaker, Utterer, utterers
from handsfree.record.verify import verify
from handsfree.task.roles import Role
from tests.engine.people_task import TASK
from tests.record.six_runs import RUNS


def silence(
    seconds: float, rate: int = SAMPLE_RATE, channels: int = 1, form: str = "FLAC"
) -> bytes:
    file = io.BytesIO()
    shape = (int(seconds * rate), channels)
    soundfile.write(file, np.zeros(shape, np.int16), rate, format=form, subtype="PCM_16")
    return file.getvalue()


def claiming(samples: int) -> bytes:
    """A second of silence whose header says that it has so many samples (RFC 9639, 8.2)."""
    content = bytearray(silence(1))
    head = int.from_bytes(content[18:26], "big")
    content[18:26] = (head >> 36 << 36 | samples).to_bytes(8, "big")
    return bytes(content)


BOMB = silence(3600)


def test_an_hour_of_silence_is_a_small_file() -> None:
    assert len(BOMB) < 200_000


@pytest.mark.parametrize(
    "content",
    [
        BOMB,
        claiming(2**36 - 1),
        silence(1, rate=655_350, channels=8),
        silence(1, rate=8000),
        silence(1, channels=2),
        silence(1, form="WAV"),
        b"fLaC",
        b"fLaC" + bytes(100),
        b"",
    ],
    ids=[
        "an hour",
        "claims much",
        "studio",
        "telephone",
        "stereo",
        "WAV",
        "head",
        "nulls",
        "empty",
    ],
)
def test_what_no_record_holds_is_not_decoded(content: bytes) -> None:
    assert Decoding().samples(content) is None
    assert pictures_of({"a": content}) == {}


def test_an_utterance_of_any_length_that_is_recorded_is_decoded() -> None:
    for seconds in (0.1, 1.0, LONGEST.total_seconds()):
        found = Decoding().samples(silence(seconds))
        assert found is not None
        assert len(found) == int(seconds * SAMPLE_RATE)


def test_a_header_that_states_no_length_is_read_to_its_end_or_not_at_all() -> None:
    found = Decoding().samples(claiming(0))
    assert found is None or len(found) == SAMPLE_RATE


def test_so_much_is_decoded_in_all() -> None:
    decoding = Decoding(timedelta(seconds=31))
    found = [decoding.samples(silence(20)) for _ in range(4)]
    assert [each is not None for each in found] == [True, True, False, False]
    spent = Decoding(timedelta(seconds=59))
    assert [spent.samples(each) for each in (BOMB, BOMB, silence(1))] == [None, None, None]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    RUNS["perfect"](tmp_path / "run")
    return tmp_path / "run"


def entries_with(folder: Path, *contents: bytes) -> Iterator[LoggedEntry]:
    """The entries of the record, the first clips in it being these."""
    left = list(contents)
    for each in read_entries(folder):
        if each.clip is None or not left:
            yield each
            continue
        content = left.pop(0)
        path_of(folder, name_of(content)).write_bytes(content)
        yield replace(each, clip=name_of(content))


def test_a_clip_that_is_too_much_is_left_out_and_says_so(folder: Path) -> None:
    noise = np.random.default_rng(1).uniform(-1, 1, 90 * SAMPLE_RATE).astype(np.float32)
    large = encode_flac(Audio(noise, timedelta(0)))
    entries = tuple(entries_with(folder, large))
    found = sounds_of(folder, entries)
    assert "is larger than 2 MB" in found.why_not[name_of(large)]
    assert name_of(large) not in found.clips
    page = page_of(folder, TASK, verify(folder), entries, found.clips)
    shown = html.fromstring(record_page(page, dict.fromkeys(found.clips, "x"), "run", None,
                                        pictures_of(found.clips), found.why_not))  # fmt: skip
    assert "too much for a page (is larger than 2 MB)" in shown.text_content()


def test_all_clips_together_are_bounded(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    entries = tuple(read_entries(folder))
    everything = sounds_of(folder, entries)
    sizes = [len(each) for each in everything.clips.values()]
    monkeypatch.setattr(sounds, "MOST_BYTES", sum(sizes) - 1)
    found = sounds_of(folder, entries)
    assert sum(map(len, found.clips.values())) < sum(sizes)
    assert set(found.clips) | set(found.why_not) == set(everything.clips)


def test_a_clip_in_whose_place_another_lies_says_so(folder: Path) -> None:
    for path in (folder / "clips").iterdir():
        path.write_bytes(silence(1))
    found = sounds_of(folder, read_entries(folder))
    assert not found.clips
    assert set(found.why_not.values()) == {"sound left out: it is not what was heard"}


def test_sounds_without_a_picture_are_counted_on_the_page(folder: Path) -> None:
    entries = tuple(entries_with(folder, BOMB))
    found = sounds_of(folder, entries)
    page = page_of(folder, TASK, verify(folder), entries)
    shown = record_page(
        page, dict.fromkeys(found.clips, "x"), "run", None, pictures_of(found.clips)
    )
    assert "1 of the sounds has no picture" in shown


def spoken_by(people: int, folder: Path) -> tuple[tuple[LoggedEntry, ...], dict[int, Utterer]]:
    """The entries of the record with a clip for each utterance, and so many people in turn."""
    said_by = utterers(list(read_entries(folder)))
    turns = {seq: f"X{at % people}" for at, seq in enumerate(said_by)}
    entries = tuple(
        replace(each, clip=f"{each.seq:064x}") if each.seq in said_by else each
        for each in read_entries(folder)
    )
    speakers = {seq: Speaker(Role.TECHNICIAN, number, number) for seq, number in turns.items()}
    return entries, {seq: replace(said_by[seq], speaker=each) for seq, each in speakers.items()}


def test_of_many_roles_only_those_who_said_the_most_are_compared(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A record can make up as many as it has entries, and they are compared in pairs."""
    compared: list[int] = []

    def count(clips: Mapping[Speaker, voices._Clips]) -> tuple[()]:
        compared.append(len(clips))
        return ()

    monkeypatch.setattr(voices, "_pairs", count)
    entries, said_by = spoken_by(20, folder)
    clips = {each.clip: silence(2) for each in entries if each.clip is not None}
    assert compare_voices(entries, said_by, clips).left_out == 20 - MOST_ROLES
    assert compared == [MOST_ROLES]


def test_of_each_role_only_the_longest_clips_are_kept(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept: list[list[float]] = []

    def seconds(clips: Mapping[Speaker, voices._Clips]) -> tuple[()]:
        kept.extend(
            sorted(len(each) / SAMPLE_RATE for each in own.longest) for own in clips.values()
        )
        return ()

    monkeypatch.setattr(voices, "_pairs", seconds)
    entries, said_by = spoken_by(2, folder)
    clips = {f"{seq:064x}": silence(2 + at / 10) for at, seq in enumerate(said_by)}
    compare_voices(entries, said_by, clips)
    longest = [2 + at / 10 for at in range(len(said_by))][-2 * MOST_CLIPS :]
    one, other = sorted(kept)
    assert one == pytest.approx(longest[0::2])
    assert other == pytest.approx(longest[1::2])
