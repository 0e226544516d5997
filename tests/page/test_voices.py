"""The hint whether two roles are one voice: what it compares, says and leaves."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from lxml import html

from handsfree.hearing.audio import Audio
from handsfree.hearing.likeness.ratio import LARGEST, ratio
from handsfree.page.attention import Weight
from handsfree.page.gathering import Page, gather
from handsfree.page.page_html import record_page
from handsfree.page.voices import Pair, compare_voices
from handsfree.page.writing import page_of, write_page
from handsfree.record.clips import encode_flac
from handsfree.record.entries import LoggedEntry, read_entries
from handsfree.record.speakers import utterers
from handsfree.record.verify import verify
from handsfree.task.roles import Role
from tests.engine.people_task import TASK
from tests.hearing.likeness.sound import drawn
from tests.record.six_runs import RUNS

VOICES = {Role.TECHNICIAN: 110.0, Role.SECOND_PERSON: 110.0, Role.INSPECTOR: 0.0}


def sound(hertz: float, seed: int) -> bytes:
    """A drawn voice; of 0 Hz, a hiss."""
    draw = np.random.default_rng(seed)
    hiss = np.float32(0.02 if hertz == 0 else 0.001) * draw.standard_normal(24_000)
    voiced = drawn(1.5, hertz) if hertz else np.zeros(24_000, np.float32)
    samples = (voiced + hiss).astype(np.float32)
    return encode_flac(Audio(samples, timedelta(0)))


def with_voices(
    folder: Path, hertz: Mapping[Role, float]
) -> tuple[list[LoggedEntry], dict[str, bytes]]:
    """The entries of a perfect run, each utterance with a sound of its role's voice."""
    RUNS["perfect"](folder)
    entries = list(read_entries(folder))
    said_by = utterers(entries)
    sounds = {}
    for at, each in enumerate(entries):
        if each.seq in said_by:
            clip = f"{each.seq:064x}"
            entries[at] = replace(each, clip=clip)
            sounds[clip] = sound(hertz[said_by[each.seq].speaker.role], each.seq)
    return entries, sounds


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Page:
    folder = tmp_path_factory.mktemp("voices") / "run"
    entries, sounds = with_voices(folder, VOICES)
    summary = page_of(folder, TASK, verify(folder), entries).summary
    return gather(TASK, entries, summary, sounds)


def test_two_roles_of_one_voice_are_told_and_two_of_two_are_not(page: Page) -> None:
    assert page.voices is not None
    told = {(each.one, each.other): each for each in page.voices.pairs}
    one = told["Tarn Osk (OA417), technician", "Sefa Lund (OA522), second person"]
    assert (one.ratio, one.sounds_like_one) == (LARGEST, True)
    assert one.in_words == (
        "sound like one person: 100 times as likely if it was one as if they were two"
    )
    other = told["Tarn Osk (OA417), technician", "Ines Varga (OA633), inspector"]
    assert other.in_words == (
        "sound like two people: 100 times as likely if they were two as if it was one"
    )
    assert page.voices.pairs[0] == one


def test_it_is_a_hint_that_needs_eyes_and_no_verdict(page: Page) -> None:
    [told] = [each for each in page.attention if each.what == "voices"]
    assert told.weight is Weight.DOUBTFUL
    assert told.why.startswith("Tarn Osk (OA417), technician, and Sefa Lund (OA522), second person")
    shown = html.fromstring(record_page(page, {}, "run"))
    assert shown.get_element_by_id("verdict").get("class") == "good"
    said = " ".join(shown.get_element_by_id("voices").text_content().split())
    assert "A hint, and never a verdict" in said
    assert "biometric data: it was computed when this page was made, and nothing" in said
    assert "100 : 1" in said


def test_nothing_of_a_voice_is_left_in_the_page_but_the_ratio(page: Page) -> None:
    assert page.voices is not None
    assert {type(each) for each in page.voices.pairs} == {Pair}
    assert {type(getattr(each, name)) for each in page.voices.pairs for name in Pair.__slots__} == {
        str,
        int,
        float,
    }


def test_without_voices_nothing_is_computed_and_nothing_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    RUNS["perfect"](tmp_path / "run")
    monkeypatch.setattr("handsfree.page.gathering.compare_voices", None)
    made = write_page(
        tmp_path / "run", TASK, verify(tmp_path / "run"), tmp_path / "p.html", with_voices=False
    )
    assert 'id="voices"' not in made.page.read_text()


def test_sound_that_was_removed_is_told_and_compared_no_more(tmp_path: Path) -> None:
    entries, _ = with_voices(tmp_path / "run", VOICES)
    found = compare_voices(entries, utterers(entries), {})
    assert (found.pairs, found.why_not) == ((), "there is sound of fewer than two roles")


def test_what_was_not_understood_is_nobodys_voice(tmp_path: Path) -> None:
    """A doubtful hearing can be a rivet gun, or somebody at another headset."""
    RUNS["rework"](tmp_path / "run")
    entries = list(read_entries(tmp_path / "run"))
    said_by = utterers(entries)
    unheard = [
        replace(each, fields={**each.fields, "words": []}) if each.seq in said_by else each
        for each in entries
    ]
    sounds = {each.clip: sound(110.0, 1) for each in unheard if each.clip is not None}
    assert compare_voices(unheard, said_by, sounds).pairs == ()


def test_a_model_that_is_missing_is_told_on_the_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    entries, sounds = with_voices(tmp_path / "run", VOICES)
    monkeypatch.setenv("HANDSFREE_MODELS", str(tmp_path))
    found = compare_voices(entries, utterers(entries), sounds)
    assert "the catalogue of speech models is missing" in found.why_not


def test_the_ratio_grows_with_the_likeness_and_with_the_clips_and_has_bounds() -> None:
    for clips in (1, 2, 3, 5, 8):
        told = [ratio(cosine, clips) for cosine in np.linspace(-1, 1, 50)]
        assert told == sorted(told)
        assert min(told) == pytest.approx(1 / LARGEST)
        assert max(told) <= LARGEST * (1 + 1e-9)
    assert ratio(0.75, 3) < ratio(0.75, 2) < ratio(0.75, 1)
    assert ratio(0.8, 8) == ratio(0.8, 5)


def test_people_of_an4_are_told_apart_and_together() -> None:
    """Two of the reporting half, five clips a role: what RESULTS.md counts, on one example."""
    from handsfree.hearing.likeness.embedding import VoiceNetwork, mean_of
    from tests.benchmarks.speech import REPORTING, Clip, an4_clips, audio_of, speech_folder

    if not (speech_folder() / "an4").is_dir():
        pytest.skip("the recordings of AN4 are not there (../shared/data)")
    own: dict[str, list[Clip]] = {}
    clips = [each for each in an4_clips("reading", "spelled", "other") if each.half == REPORTING]
    for clip in clips:
        own.setdefault(clip.speaker, []).append(clip)
    one, other = sorted(name for name, each in own.items() if len(each) >= 10)[:2]
    network = VoiceNetwork()
    voices = {
        (name, part): mean_of(
            [network.voice_in(audio_of(each).samples) for each in own[name][part : part + 5]]
        )
        for name in (one, other)
        for part in (0, 5)
    }
    assert ratio(float(voices[one, 0] @ voices[one, 5]), 5) > 10
    assert ratio(float(voices[one, 0] @ voices[other, 5]), 5) < 0.1
