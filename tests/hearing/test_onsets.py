"""The onsets that the live benchmark measures with are those of a published alignment."""

import json
from pathlib import Path

import numpy as np
import pytest

from handsfree.hearing.audio import SAMPLE_RATE
from handsfree.hearing.clips import read_clip
from tests.benchmarks.live.onsets import first_word, last_sound

pytest.importorskip("pocketsphinx")


def test_a_first_word_begins_where_its_published_alignment_says(outside_speech: Path) -> None:
    """pocketsphinx 5.1.1, test/data/librivox: one JSON beside each recording, times in seconds."""
    alignments = sorted(
        each
        for each in (outside_speech / "librivox").glob("sense_and_sensibility_*.json")
        if len(each.suffixes) == 1
    )
    assert len(alignments) == 5
    for alignment in alignments:
        published = json.loads(alignment.read_text())
        begins = [each["b"] for each in published["w"] if not each["t"].startswith("<")]
        words = tuple(published["t"].split())
        found = first_word(read_clip(alignment.with_suffix(".wav")).samples, words)
        assert found is not None
        assert found / SAMPLE_RATE == pytest.approx(begins[0], abs=0.011)


def test_words_that_are_not_in_the_sound_have_no_onset() -> None:
    assert first_word(np.zeros(SAMPLE_RATE, np.float32), ("seven",) * 12) is None


def test_sound_ends_where_it_falls_by_thirty_decibels() -> None:
    noise = np.random.default_rng(1).standard_normal(2 * SAMPLE_RATE).astype(np.float32)
    noise[SAMPLE_RATE:] *= np.float32(0.01)
    assert last_sound(noise) == pytest.approx(SAMPLE_RATE, abs=256)
