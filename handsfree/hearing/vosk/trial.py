"""Try a model in a process of its own: the library crashes on some damaged ones.

A graph that is cut short loads without complaint, and ends the process at the first utterance.
`python -m handsfree.hearing.vosk.trial FOLDER` reads a JSON list of words on stdin and writes the
list of those that the model does not know.
"""

import json
import subprocess
import sys
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import SAMPLE_RATE
from handsfree.hearing.vosk.grammar import grammar_of
from handsfree.hearing.vosk.model import VoskModel, VoskModelDamaged, VoskNotInstalled

_LONGEST_S = 120
_NOT_INSTALLED = 3


def words_missing(name: str, folder: Path, words: frozenset[str]) -> tuple[str, ...]:
    """Listen with the model once, and say which of `words` it does not know.

    Raises VoskNotInstalled or VoskModelDamaged.
    """
    command = [sys.executable, "-m", __name__, str(folder)]
    asked = json.dumps(sorted(words))
    try:
        done = subprocess.run(
            command, input=asked, capture_output=True, text=True, timeout=_LONGEST_S, check=False
        )
    except subprocess.TimeoutExpired as error:
        raise VoskModelDamaged(name, f"nothing came of it in {_LONGEST_S} s") from error
    complaint = (done.stderr.strip().splitlines() or ["it gave no reason"])[-1]
    if done.returncode == _NOT_INSTALLED:
        raise VoskNotInstalled(complaint)
    if done.returncode < 0:
        raise VoskModelDamaged(name, f"it crashed, signal {-done.returncode}; {complaint}")
    if done.returncode:
        raise VoskModelDamaged(name, complaint)
    return tuple(json.loads(done.stdout))


def main() -> int:
    """The trial itself; exit status 0 if the model listened."""
    folder = Path(sys.argv[1])
    try:
        model = VoskModel(folder.name, folder)
        grammar = grammar_of(json.load(sys.stdin), model.knows)
        if grammar.words or grammar.unknown:
            decoder = model.decoder(grammar)
            decoder.AcceptWaveform(bytes(2 * SAMPLE_RATE))
            decoder.FinalResult()
    except VoskNotInstalled as error:
        print(error.__cause__, file=sys.stderr)
        return _NOT_INSTALLED
    except HandsfreeError as error:
        # What the library wrote before it gave up says more.
        print(error.__cause__ or error, file=sys.stderr)
        return 1
    json.dump(grammar.missing, sys.stdout)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
