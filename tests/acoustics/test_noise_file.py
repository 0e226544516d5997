from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.acoustics.noise_file import NoiseFileUnusable, noise_in
from handsfree.hearing.clips import ClipMissing, ClipNotSound, ClipTooLong


def written(folder: Path, seconds: float, level: float = 0.1, rate: int = 44_100) -> Path:
    path = folder / "hangar.wav"
    sound = level * np.random.default_rng(1).standard_normal((round(seconds * rate), 2))
    soundfile.write(path, sound, rate)
    return path


def test_the_sound_of_a_place_is_read_at_any_rate_and_brought_to_power_1(tmp_path: Path) -> None:
    noise = noise_in(written(tmp_path, 40))
    assert noise.name == "hangar.wav"
    assert len(noise.samples) == 40 * 16_000
    assert np.mean(noise.samples.astype(np.float64) ** 2) == pytest.approx(1, rel=1e-3)


@pytest.mark.parametrize("level", [0.0, 1e-4])
def test_a_silent_recording_is_refused(tmp_path: Path, level: float) -> None:
    with pytest.raises(NoiseFileUnusable, match=r"hangar\.wav: is silent\. Record 5 seconds to 10"):
        noise_in(written(tmp_path, 6, level))


def test_a_short_recording_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NoiseFileUnusable, match=r"hangar\.wav: lasts only 3\.0 s\. Record 5 sec"):
        noise_in(written(tmp_path, 3))


def test_a_recording_without_end_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "hangar.raw"
    with path.open("wb") as file:
        file.truncate(2 * 16_000 * 601)
    with pytest.raises(ClipTooLong, match=r"lasts 601 s, and it may last 600 s\. Cut it shorter"):
        noise_in(path)


def test_what_is_no_sound_or_not_there_is_told_as_such(tmp_path: Path) -> None:
    (tmp_path / "hangar.wav").write_text("no sound")
    with pytest.raises(ClipNotSound, match="is not a recording that can be read"):
        noise_in(tmp_path / "hangar.wav")
    with pytest.raises(ClipMissing, match="cannot be read"):
        noise_in(tmp_path / "none.wav")
