"""Installed as any other tool: a wheel in an empty environment, used in an empty folder.

What handsfree itself depends on is borrowed from the environment of the tests, so this needs no
network; that the wheel names all of it is looked at in the last test.
"""

import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from email.parser import Parser
from pathlib import Path

import pytest
import soundfile

from demo.noise import RATE_HZ
from demo.people import voice_line
from demo.script import Line
from handsfree.cli.tasks import EXAMPLES
from handsfree.task.roles import Headset
from tests.shipped_tasks import FOLDER

pytestmark = pytest.mark.slow  # builds a wheel, and an environment to install it in
ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Built from the sdist, which is built from the repository."""
    folder = tmp_path_factory.mktemp("dist")
    build = (sys.executable, "-m", "build", "--no-isolation", "--outdir", str(folder), str(ROOT))
    subprocess.run(build, check=True, capture_output=True, text=True)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The command of an environment that holds only the wheel."""
    folder = tmp_path_factory.mktemp("environment")
    venv.create(folder, symlinks=True)
    python = folder / "bin" / "python"
    pip = (sys.executable, "-m", "pip", "--python", str(python), "install", "-q", "--no-index")
    subprocess.run((*pip, "--no-deps", str(wheel)), check=True)
    version = f"python{sys.version_info.major}.{sys.version_info.minor}"
    # A folder that is named in a .pth file has its own .pth files left alone, and so the checkout,
    # which is installed there by one, stays out of sight.
    borrowed = folder / "lib" / version / "site-packages" / "borrowed.pth"
    borrowed.write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    return folder / "bin" / "handsfree"


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    (tmp_path / "empty").mkdir()
    return tmp_path / "empty"


def called(installed: Path, folder: Path, *words: str, code: int = 0) -> str:
    left_out = ("HANDSFREE_MODELS", "PYTHONPATH")
    surroundings = {name: each for name, each in os.environ.items() if name not in left_out}
    surroundings["XDG_DATA_HOME"] = str(folder.parent / "data")
    done = subprocess.run(
        [str(installed), *words], cwd=folder, env=surroundings, capture_output=True, text=True
    )
    assert done.returncode == code, done.stderr
    return done.stdout


def test_the_tool_in_the_environment_is_the_installed_one(installed: Path, empty: Path) -> None:
    code = "import handsfree; print(handsfree.__file__)"
    python = installed.with_name("python")
    where = subprocess.check_output([str(python), "-c", code], text=True, cwd=empty)
    assert Path(where).is_relative_to(installed.parents[1])


def test_the_version_names_the_model_that_is_carried(installed: Path, empty: Path) -> None:
    lines = called(installed, empty, "--version").splitlines()
    assert lines[0].startswith("handsfree ")
    assert any(line.startswith("  reader/reader.onnx  SHA-256 ") for line in lines)


def test_every_embedded_model_is_there_and_as_it_should_be(installed: Path, empty: Path) -> None:
    assert "missing" not in called(installed, empty, "models", "list")
    assert called(installed, empty, "models", "verify").count("all as they should be") == 7


def test_a_task_can_be_begun_and_checked(installed: Path, empty: Path) -> None:
    called(installed, empty, "new", "own.yaml")
    assert "no problem found" in called(installed, empty, "check", "own.yaml")


@pytest.mark.parametrize("name", ["accumulator-nitrogen", "door-slide-refit"])
def test_an_example_is_listed_copied_and_checked(installed: Path, empty: Path, name: str) -> None:
    assert name in called(installed, empty, "tasks")
    called(installed, empty, "tasks", "copy", name)
    called(installed, empty, "check", f"{name}.yaml")


def test_a_clip_is_heard_and_acted_on(installed: Path, empty: Path) -> None:
    pytest.importorskip("piper", reason="the demo's voice is not installed (extra natural-voice)")
    (empty / "clips").mkdir()
    clip = empty / "clips" / "01-technician.wav"
    sound = voice_line(Line(Headset.TECHNICIAN, "five three zero six zero four"))
    soundfile.write(clip, sound, RATE_HZ)
    assert "530604" in called(installed, empty, "hear", "--json", str(clip))
    called(installed, empty, "tasks", "copy", "accumulator-nitrogen")
    words = ("run", "accumulator-nitrogen.yaml", "--clips", "clips", "--record", "record")
    run = called(installed, empty, *words, "--speech-file", "speech.wav", code=1)
    assert "five three zero six zero four" in run
    assert "nobody vouches" in called(installed, empty, "verify", "record", code=1)


def test_a_model_that_is_added_goes_to_the_data_of_the_user(installed: Path, empty: Path) -> None:
    code = "from handsfree.places import added_models; print(added_models())"
    surroundings = {**os.environ, "XDG_DATA_HOME": str(empty)}
    surroundings.pop("HANDSFREE_MODELS", None)
    python = installed.with_name("python")
    where = subprocess.check_output(
        [str(python), "-c", code], text=True, env=surroundings, cwd=empty
    )
    assert where.strip() == str(empty / "handsfree" / "models")


def test_every_file_of_the_examples_is_copied_with_one_of_them() -> None:
    copied = {f"{name}.yaml" for name in EXAMPLES}.union(*EXAMPLES.values())
    assert copied == {each.name for each in FOLDER.iterdir()}


def test_the_wheel_names_what_it_needs_and_vosk_where_it_can_be_had(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        (name,) = (each for each in archive.namelist() if each.endswith(".dist-info/METADATA"))
        wanted = Parser().parsestr(archive.read(name).decode()).get_all("Requires-Dist") or []
    always = {each for each in wanted if "extra ==" not in each}
    assert any(each.startswith("vosk>=") and "sys_platform == 'linux'" in each for each in always)
    assert any(each.startswith("platformdirs") for each in always)
