"""A sound server of our own, without a sound card: what is played into one sink is a microphone.

PulseAudio in user space, on a private runtime directory, with two null sinks: `voice`, where the
tool plays, and `hangar`, where people speak; the monitor of `hangar` is the microphone. Where the
two are to be recorded together, sample by sample, they are the channels of one sink, `both`.
"""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_STARTS_S = 10.0
_PROGRAMS = ("pulseaudio", "pactl", "paplay", "parec")


class NoSoundServer(Exception):
    """It is not installed or does not start; says why."""


_APART = (
    "module-null-sink sink_name=voice rate=48000 channels=1",
    "module-null-sink sink_name=hangar rate=48000 channels=1",
)
_TOGETHER = (
    "module-null-sink sink_name=both rate=48000 channels=2 channel_map=front-left,front-right",
    *(
        f"module-remap-sink sink_name={name} master=both channels=1 master_channel_map={side} "
        "channel_map=mono remix=no"
        for name, side in (("voice", "front-left"), ("hangar", "front-right"))
    ),
    "module-remap-source source_name=microphone master=both.monitor channels=1 "
    "master_channel_map=front-right channel_map=mono remix=no",
)


@contextmanager
def sound_server(*, together: bool = False) -> Iterator[dict[str, str]]:
    """Start it, give the environment that leads programs to it, and stop it again.

    `together` has the voice on the left and the people on the right of `both.monitor`.

    Raises NoSoundServer.
    """
    missing = [each for each in _PROGRAMS if shutil.which(each) is None]
    if missing:
        raise NoSoundServer(f"not installed: {', '.join(missing)} (apt install pulseaudio)")
    # Short: the path of a socket may have 107 bytes.
    with tempfile.TemporaryDirectory(prefix="hf-pulse-") as folder:
        socket = Path(folder) / "native"
        environment = os.environ | {
            "HOME": folder,
            "XDG_RUNTIME_DIR": folder,
            "XDG_CONFIG_HOME": folder,
            "PULSE_SERVER": f"unix:{socket}",
            "PULSE_SINK": "voice",
            "PULSE_SOURCE": "microphone" if together else "hangar.monitor",
        }
        environment.pop("DBUS_SESSION_BUS_ADDRESS", None)
        loaded = [
            *(_TOGETHER if together else _APART),
            f"module-native-protocol-unix auth-anonymous=1 socket={socket}",
        ]
        command = ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no"]
        command += ["--disallow-module-loading=no", "--log-target=stderr"]
        for module in loaded:
            command += ["-L", module]
        with (Path(folder) / "log.txt").open("wb") as log:
            server = subprocess.Popen(command, env=environment, stdout=log, stderr=log)
        try:
            _wait_until_up(server, environment, Path(folder) / "log.txt")
            yield environment
        finally:
            server.terminate()
            try:
                server.wait(timeout=5)
            except subprocess.TimeoutExpired:
                server.kill()
                server.wait()


def _wait_until_up(server: "subprocess.Popen[bytes]", env: dict[str, str], log: Path) -> None:
    # `pactl` waits for the server by itself only once the socket is there.
    probe = (
        f"for i in $(seq {round(_STARTS_S * 10)}); do "
        "pactl list short sources 2>/dev/null | grep -q hangar.monitor && exit 0; "
        f"kill -0 {server.pid} 2>/dev/null || exit 1; sleep 0.1; done; exit 1"
    )
    if subprocess.run(["sh", "-c", probe], env=env, check=False).returncode:
        said = log.read_text(errors="replace").strip().splitlines()
        raise NoSoundServer(f"PulseAudio does not start: {said[-1] if said else 'no reason given'}")
