"""A team's own recordings: what is said in them, and which do not count."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.hearing.audio import Audio
from handsfree.rehearse.recordings import NoRecordings, read_recordings, recorded_trials
from handsfree.rehearse.sayings import Kind
from handsfree.words.heard import Heard, Opinion
from handsfree.words.phrases import PhraseSet
from tests.rehearse.stages import SETTINGS, stage


class WritesDown:
    """A listener that writes down the same of every clip."""

    def __init__(self, text: str) -> None:
        self.text = text

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        opinion = Opinion("whisper", (), -1.0, 0.0, self.text)
        return Heard((), 0.1, (), (opinion,), timedelta(0), audio.duration)


def sound(folder: Path, name: str, gain: float = 0.2, seed: int = 1) -> Path:
    """Noise in the rhythm of speech, a second and a half long; nobody would understand it."""
    rng = np.random.default_rng(seed)
    rhythm = np.repeat(np.tile([1.0, 0.0], 8), 1_500)
    samples = np.clip(gain * rhythm * rng.standard_normal(len(rhythm)), -1, 1)
    soundfile.write(folder / name, samples, 16_000)
    return folder / name


def test_a_file_is_named_by_what_is_said_in_it(tmp_path: Path) -> None:
    names = (
        "charging-hose-fitted.anna.wav",
        "charging_hose_fitted (2).wav",
        "21 degrees celsius.wav",
    )
    for seed, name in enumerate(names):
        sound(tmp_path, name, seed=seed)
    (tmp_path / "notes.txt").write_text("not a sound")
    found = read_recordings(tmp_path, stage(), WritesDown("charging hose fitted"))
    assert [(each.words, each.speaker) for each in found.kept] == [
        ("charging hose fitted", "anna"),
        ("charging hose fitted", ""),
    ]
    assert [each.file for each in found.left_out] == ["21 degrees celsius.wav"]


def test_a_table_tells_what_is_said_and_who_speaks(tmp_path: Path) -> None:
    sound(tmp_path, "a.wav")
    (tmp_path / "recordings.csv").write_text("file,words,speaker\na.wav,Two one degrees,ben\n")
    (found,) = read_recordings(tmp_path, stage(), WritesDown("21 degrees")).kept
    assert (found.words, found.speaker) == ("two one degrees", "ben")


@pytest.mark.parametrize(
    ("table", "why"),
    [
        ("file\na.wav\n", "line 2, lacks file or words"),
        ("file,words\n../a.wav,affirm\n", "'../a.wav' is no name"),
        ("file,words\n\xff\xfe", "cannot be read"),
    ],
)
def test_a_table_that_is_wrong_is_told_with_its_line(tmp_path: Path, table: str, why: str) -> None:
    (tmp_path / "recordings.csv").write_bytes(table.encode("latin-1"))
    with pytest.raises(NoRecordings, match=why):
        read_recordings(tmp_path, stage(), WritesDown(""))


def test_what_is_silent_clipped_missing_no_sound_or_other_words_is_left_out(tmp_path: Path) -> None:
    names = [
        sound(tmp_path, "affirm.1.wav", gain=1e-5).name,
        sound(tmp_path, "affirm.2.wav", gain=9.0).name,
        sound(tmp_path, "charging-hose-fitted.wav").name,
    ]
    (tmp_path / "negative.wav").write_bytes(b"no sound at all")
    found = read_recordings(tmp_path, stage(), WritesDown("where is my coffee"))
    assert not found.kept
    why = {each.file: each.why for each in found.left_out}
    assert why[names[0]] == "silent"
    assert why[names[1]].startswith("clipped: the peaks are cut off")
    assert why[names[2]] == (
        "other words than 'charging hose fitted': heard was 'where is my coffee'"
    )
    assert "is not a recording that can be read" in why["negative.wav"]
    assert [each.file for each in found.left_out if each.other_words] == [names[2]]


def test_a_folder_without_sound_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NoRecordings, match="no sound files are there"):
        read_recordings(tmp_path, stage(), WritesDown(""))
    with pytest.raises(NoRecordings, match="is no folder"):
        read_recordings(tmp_path / "gone", stage(), WritesDown(""))


def test_a_recording_is_tried_where_its_words_answer_at_every_ratio(tmp_path: Path) -> None:
    sound(tmp_path, "charging-hose-fitted.wav")
    found = read_recordings(tmp_path, stage(), WritesDown("charging hose fitted"))
    trials = recorded_trials(stage(), found, SETTINGS)
    assert [each.scene.snr_db for each in trials] == [20.0, 10.0]
    for each in trials:
        assert stage().moments[each.moment].name == "fit-hose/answering"
        assert each.kind is Kind.ANSWER


def test_a_recording_that_answers_nothing_is_talk_somewhere(tmp_path: Path) -> None:
    sound(tmp_path, "coffee-at-four.wav")
    found = read_recordings(tmp_path, stage(), WritesDown("coffee at four"))
    assert {each.kind for each in recorded_trials(stage(), found, SETTINGS)} == {Kind.TALK}


def test_however_many_runs_one_recording_is_one_saying_at_each_ratio(tmp_path: Path) -> None:
    """One utterance in a hundred noises is not the evidence of a hundred utterances."""
    sound(tmp_path, "charging-hose-fitted.wav")
    found = read_recordings(tmp_path, stage(), WritesDown("charging hose fitted"))
    trials = recorded_trials(stage(), found, replace(SETTINGS, runs=100))
    assert [each.scene.snr_db for each in trials] == [20.0, 10.0]


def test_one_sound_under_two_names_counts_once(tmp_path: Path) -> None:
    sound(tmp_path, "charging-hose-fitted.anna.wav")
    sound(tmp_path, "charging-hose-fitted.copy.wav")
    found = read_recordings(tmp_path, stage(), WritesDown("charging hose fitted"))
    assert [each.speaker for each in found.kept] == ["anna"]
    (left,) = found.left_out
    assert left.why == "the same sound as charging-hose-fitted.anna.wav, which counts once"
