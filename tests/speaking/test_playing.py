import importlib
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import soundfile

from handsfree.speaking.aloud import NoSoundDevice
from handsfree.speaking.choose import open_player
from handsfree.speaking.playing import DevicePlayer
from tests.speaking.test_aloud import DEVICE


@pytest.fixture
def device(stand_in: Callable[[str, str], None]) -> ModuleType:
    stand_in("sounddevice", DEVICE)
    return importlib.import_module("sounddevice")


@pytest.fixture
def clip(tmp_path: Path) -> Path:
    soundfile.write(tmp_path / "clip.flac", np.zeros(1600, np.float32), 16_000)
    return tmp_path / "clip.flac"


def test_a_clip_is_played_at_the_rate_of_the_device(device: ModuleType, clip: Path) -> None:
    DevicePlayer().play(clip)
    assert device.opened == [(44_100, 1, "float32")]
    assert len(device.played[0]) == 4410


def test_a_device_that_is_lost_is_reported(
    device: ModuleType, clip: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    player = DevicePlayer()
    monkeypatch.setattr(device, "lost", True)
    with pytest.raises(NoSoundDevice, match=r"playing clip\.flac failed \(Device unavailable\)"):
        player.play(clip)


def test_a_file_that_is_no_sound_is_reported(device: ModuleType, tmp_path: Path) -> None:
    (tmp_path / "clip.flac").write_text("no sound")
    with pytest.raises(NoSoundDevice, match=r"playing clip\.flac failed"):
        DevicePlayer().play(tmp_path / "clip.flac")


def test_without_a_device_no_clip_is_played_and_that_is_told(
    stand_in: Callable[[str, str], None], caplog: pytest.LogCaptureFixture
) -> None:
    stand_in("sounddevice", 'raise OSError("PortAudio library not found")')
    assert open_player() is None
    assert "Clips are not played." in caplog.text
