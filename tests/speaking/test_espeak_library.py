import subprocess
import sys
from pathlib import Path

import pytest

LIBRARIES_IN_USE = """
from handsfree.speaking.espeak_library import load_espeak_library
load_espeak_library()
import pyttsx3
engine = pyttsx3.init()
mapped = {line.split()[-1] for line in open("/proc/self/maps") if "espeak" in line}
print(*mapped, sep="\\n")
"""


def test_pyttsx3_uses_the_packaged_library_and_no_other() -> None:
    printed = subprocess.check_output([sys.executable, "-c", LIBRARIES_IN_USE], text=True)
    (library,) = printed.splitlines()
    assert Path(library).parent.name == "espeakng_loader"


def test_the_voice_works_from_a_path_longer_than_the_library_keeps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """speech.h of espeak-ng: N_PATH_HOME is 160; beyond it the library ends the process."""
    import espeakng_loader

    from handsfree.speaking.voice import Voice

    deep = tmp_path / ("d" * 200)
    deep.mkdir()
    package = Path(espeakng_loader.__file__).parent
    (deep / "espeakng_loader").symlink_to(package, target_is_directory=True)
    monkeypatch.syspath_prepend(deep)
    voice = Voice(16_000)
    assert len(voice.render("Affirm.")) > 0
    voice.close()
