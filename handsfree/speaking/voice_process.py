"""The voice process: pyttsx3 behind two pipes. Run by `Voice`, not by people.

It first writes `{"ready": true}`, then answers each line `{"text": ..., "file": ...}` of its input
with `{"finished": true}` when the speech is in that file, or with `false` when it is not. It ends
with its input. Its arguments are the speed, in times the usual one, and where it is not the usual
voice, the name that espeak-ng has for it and its pitch.
"""

import json
import os
import sys
from collections.abc import Callable
from typing import TextIO

WORDS_PER_MINUTE = 160  # espeak's own 175 is harder to follow in noise (own choice, no source)


def main() -> None:
    """Render what the input asks for, in order, until it ends."""
    # pyttsx3 prints "Audio saved to ..." after each file: whatever others write to standard output
    # goes to standard error, and only replies go where it led.
    replies = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    speed, *voice = sys.argv[1:]
    render = _start_engine(float(speed), *voice)
    _reply(replies, ready=True)
    for line in sys.stdin:
        request = json.loads(line)
        _reply(replies, finished=render(request["text"], request["file"]))


def _start_engine(speed: float, voice: str = "", pitch: str = "") -> Callable[[str, str], bool]:
    """Return a function that speaks a text into a file and tells whether the engine finished."""
    from handsfree.speaking.espeak_library import load_espeak_library

    # espeak works in a thread of its own. pyttsx3's runAndWait may return before that thread has
    # written the file, or has let go of it; this call returns when espeak rests.
    wait_for_engine = load_espeak_library().espeak_Synchronize
    import pyttsx3

    engine = pyttsx3.init(debug=True)  # debug: errors reach standard error, where `Voice` reads
    if voice:
        engine.setProperty("voice", voice)
        engine.setProperty("pitch", int(pitch))
    engine.setProperty("rate", round(WORDS_PER_MINUTE * speed))
    # pyttsx3 holds settings back until its first utterance, whose end-of-loop command then cancels
    # whatever espeak has not yet taken in: one start in sixty spoke at the wrong rate. So: now.
    engine.proxy.setBusy(False)
    wait_for_engine()
    outcomes: list[bool] = []

    def finished(name: object, completed: bool) -> None:  # noqa: ARG001 - pyttsx3 names both
        outcomes.append(completed)

    engine.connect("finished-utterance", finished)

    def render(text: str, file: str) -> bool:
        outcomes.clear()
        engine.save_to_file(text, file)
        engine.runAndWait()
        wait_for_engine()
        return outcomes == [True]

    return render


def _reply(replies: TextIO, **fact: bool) -> None:
    replies.write(json.dumps(fact) + "\n")
    replies.flush()


if __name__ == "__main__":
    main()
