"""A person at the door, as a process: `python -m tests.live.person LOG CLIP...`.

Listens to the tool's voice on the sound server, and when it has been silent for a moment speaks
the next clip into the hangar. Asked to say again, repeats the last one. What the tool asked is
taken from its log, for this person has ears but no recognizer.
"""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np

RATE_HZ = 16_000
PIECE_S = 0.05
ANSWERS_AFTER_S = 0.6  # of silence
GIVES_UP_S = 60.0
_AUDIBLE = 100  # of 32768


def main() -> int:
    """Speak each clip in its turn; 1 where the tool falls silent for good."""
    log, clips = Path(sys.argv[1]), sys.argv[2:]
    listen = ["parec", "--device=voice.monitor", "--format=s16le", "--channels=1"]
    listen += [f"--rate={RATE_HZ}", "--latency-msec=20"]
    with subprocess.Popen(listen, stdout=subprocess.PIPE) as ears:
        assert ears.stdout is not None
        spoken = 0
        while spoken < len(clips):
            if not _wait_for_my_turn(ears.stdout):
                ears.terminate()
                return 1
            if _asked_again(log) and spoken:
                spoken -= 1
            subprocess.run(["paplay", "--device=hangar", clips[spoken]], check=True)
            spoken += 1
        ears.terminate()
    return 0


def _wait_for_my_turn(sound) -> bool:  # type: ignore[no-untyped-def] # a pipe
    """Return when the tool has spoken and is silent."""
    heard, silent, waited = False, 0.0, 0.0
    while waited < GIVES_UP_S:
        piece = sound.read(2 * round(PIECE_S * RATE_HZ))
        if not piece:
            return False
        waited += PIECE_S
        if np.abs(np.frombuffer(piece, "<i2").astype(np.int32)).max() > _AUDIBLE:
            heard, silent = True, 0.0
        else:
            silent += PIECE_S
        if heard and silent >= ANSWERS_AFTER_S:
            return True
    return False


def _asked_again(log: Path) -> bool:
    entries = [json.loads(line) for line in log.read_text().splitlines() if line.endswith("}")]
    said = [each["text"] for each in entries if each["kind"] == "say"]
    return bool(said) and any("Say again" in each for each in said[-3:])


if __name__ == "__main__":
    raise SystemExit(main())
