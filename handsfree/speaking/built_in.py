"""The engine that handsfree brings: pyttsx3, in a process of its own; see `voice_process`."""

import json
from pathlib import Path

from handsfree.speaking.engine_process import EngineProcess, SpeechEngineFailed

PATIENCE_S = 20.0  # a long warning renders in under 0.1 s; a process this late hangs


class BuiltInEngine:
    """One life of `voice_process`; raises SpeechEngineFailed."""

    failed = SpeechEngineFailed

    def __init__(self, folder: Path, speed: float, voice: str = "", pitch: int = 50) -> None:
        """Its messages go to `folder`. `voice` is a name of espeak-ng; empty: the usual voice.

        `pitch` is of 0 to 99, and counts with a voice only.
        """
        self._stderr = folder / "stderr.txt"
        with self._stderr.open("wb") as stderr:
            self._process = EngineProcess(
                (
                    *("handsfree.speaking.voice_process", str(speed)),
                    *((voice, str(pitch)) if voice else ()),
                ),
                *(stderr, self.failed, self._last_words),
            )
        try:
            self._expect("ready")
        except SpeechEngineFailed:
            self.close()
            raise

    def render(self, text: str, file: Path) -> None:
        """Have `text` spoken into `file`."""
        self._process.ask(json.dumps({"text": text, "file": str(file)}))
        self._expect("finished")

    def close(self) -> None:
        """End the process."""
        self._process.close()

    def _expect(self, fact: str) -> None:
        reply = self._process.answer(PATIENCE_S, is_answer=lambda _: True)
        if json.loads(reply) != {fact: True}:
            raise self.failed(self._last_words() or "it did not finish an utterance")

    def _last_words(self) -> str:
        """Return the last line that the process wrote for people, without its full stop."""
        lines = [
            line.strip()
            for line in self._stderr.read_text(encoding="utf-8", errors="replace").splitlines()
            if line.strip() and not line.startswith("Audio saved to ")
        ]
        return lines[-1].rstrip(".") if lines else ""
