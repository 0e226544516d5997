"""Listening and speaking as they were before an utterance ended by what was said, to compare.

`python -m tests.benchmarks.live.as_before run ...` is `handsfree run ...`, listening so.
"""

from functools import partial

from handsfree.hearing import opening
from handsfree.hearing.listeners import TwoListeners
from handsfree.hearing.live.endpoint import Rules
from handsfree.hearing.live.waits import DOUBTFUL, WAITS
from handsfree.hearing.opening import open_reader
from handsfree.hearing.transcriber import Transcriber
from handsfree.running import live
from handsfree.running.live_ear import LiveEar
from handsfree.speaking import aloud

RULES = Rules(early=7)
WAITS_BEFORE = dict.fromkeys(WAITS, DOUBTFUL)


def recognizer_before() -> TwoListeners:
    """The listeners, with the whole window for every phrase."""
    return TwoListeners(Transcriber(), open_reader())


def main() -> None:
    """Run the program so."""
    opening._open_short_window = lambda: None
    before = partial(LiveEar, rules=RULES, waits=WAITS_BEFORE)
    replaced = (
        (live, "LiveEar", before),
        (aloud, "without_silence", lambda samples, _: samples),
        (aloud, "_after_a_pause", lambda samples, _: samples),
    )
    for module, name, other in replaced:
        setattr(module, name, other)
    from handsfree.cli.app import main as program

    program()


if __name__ == "__main__":
    main()
