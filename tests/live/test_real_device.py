"""PortAudio for real: a device that goes and comes back. In a process of its own."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.live.pulse import NoSoundServer, sound_server

ROOT = Path(__file__).parents[2]
GOES_AND_COMES_BACK = """
import os
from handsfree.hearing.live.microphone import *
from tests.live.pulse import sound_server
with sound_server() as environment:
    os.environ.update(environment)
    microphone = DeviceMicrophone("pulse")
    microphone.open()
    print("heard", microphone.read(2.0).samples.shape[1], "channel")
try:
    while microphone.read(2.0) is not None: pass
except MicrophoneLost as error:
    print(error)
microphone.close()
find_devices_anew()
try:
    microphone.open()
except MicrophoneLost as error:
    print(error)
with sound_server() as environment:
    os.environ.update(environment)
    find_devices_anew()
    microphone.open()
    print("heard", microphone.read(2.0).samples.shape[1], "channel")
    microphone.close()
"""


@pytest.fixture(scope="module")
def _sound_server_can_be_had() -> None:
    try:
        with sound_server():
            pass
    except NoSoundServer as error:
        pytest.skip(str(error))
    try:
        import sounddevice  # noqa: F401 - only whether it can be loaded
    except OSError as error:
        pytest.skip(f"PortAudio is not installed ({error})")


@pytest.mark.slow
@pytest.mark.usefixtures("_sound_server_can_be_had")
def test_a_device_that_goes_is_lost_and_is_heard_again_when_it_is_back() -> None:
    command = [sys.executable, "-c", GOES_AND_COMES_BACK]
    done = subprocess.run(
        command, capture_output=True, text=True, cwd=ROOT, timeout=60, check=False
    )
    heard, lost, gone, again = done.stdout.splitlines()
    # PortAudio tells of the loss, or waits for ever for a device that is not there; see `_close`.
    assert re.fullmatch(r"Microphone pulse: (it has stopped|gave no sound for 2 s)\..*", lost)
    assert re.fullmatch(r"Microphone pulse: (it is not there|cannot be opened \(.*\))\..*", gone)
    assert (heard, again) == ("heard 1 channel", "heard 1 channel"), done.stderr
