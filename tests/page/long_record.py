"""A record of an hour at the long task, with what a supervisor has to find in it. All is invented.

`python -m tests.page.long_record FOLDER` makes it to be looked at. The run is the real one; what is
made up is its time, and its voices, which are drawn: a pitch for each headset.
"""

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from handsfree.engine.effects import Effect
from handsfree.engine.phase import Phase
from handsfree.engine.state import State
from handsfree.hearing.audio import Audio
from handsfree.record import Circumstances, Record
from handsfree.record.files import Files
from handsfree.record.marks import NotHeard, Way
from handsfree.running.loop import run
from handsfree.running.parts import Utterance
from handsfree.task.roles import Headset
from handsfree.task.roster import read_roster
from handsfree.words.heard import Heard, Opinion
from handsfree.words.phrases import PhraseSet
from tests.hearing.likeness.sound import drawn
from tests.long_task import LongRun
from tests.record.runs import KEYS, NoScreen, NoSync
from tests.shipped_tasks import FOLDER, ROSTER

START = datetime(2031, 3, 1, 8, tzinfo=UTC)
STOOD_FOR = timedelta(minutes=10)
WHY_IT_STOOD = "the nitrogen cart is not here"
DOUBTFUL_AT, TORQUE_AT, STOOD_AT = "bottle-pin-check", "left-bolt", "close-door"

_PITCH_HZ = {1: 110.0, 2: 210.0, 3: 150.0}
_PACE = timedelta(seconds=0.32)  # a word


class Shift(LongRun):
    """An ear before which people work, a voice that takes its time, and a follower of the state."""

    def __init__(self, pause: timedelta) -> None:
        """`pause` is the work before each answer."""
        super().__init__()
        self.now = timedelta(0)
        self._pause = pause
        self._told: set[str] = set()
        self._said: list[tuple[str, float, timedelta]] = []  # words, score, and the wait before

    def follows(self, state: State, effect: Effect) -> None:
        """The state that the next answer belongs to."""
        self.state = state

    def not_heard(self, missed: NotHeard) -> None:
        pass

    def say(self, text: str) -> None:  # type: ignore[override]
        """The voice of the run, at three words a second."""
        self.now += _PACE * len(text.split())

    def close(self) -> None:
        pass

    def hear(  # type: ignore[override]
        self, phrases: PhraseSet, until: timedelta | None = None
    ) -> Utterance | None:
        if self.state.phase is Phase.FINISHED:
            return None
        self._tell()
        words, channel = self.right()
        score, wait = 0.97, self._pause
        if self._said:
            words, score, wait = self._said.pop(0)
        headset = next(each for each in Headset if each.channel == channel)
        began = self.now + wait
        self.now = began + _PACE * len(words.split())
        heard = Heard(
            tuple(words.split()),
            score,
            (("bottle", "pin", "removed"),) if score < 0.8 else (),
            (
                Opinion("reader", tuple(words.split()), -0.4, 2.5, words),
                Opinion("whisper-tiny.en-int8", tuple(words.split()), -0.6, 4.0, words.upper()),
            ),
            began,
            self.now,
            channel,
        )
        seconds = (self.now - began).total_seconds()
        sound = drawn(seconds, _PITCH_HZ[channel])
        draw = np.random.default_rng(len(self._told) + round(began.total_seconds()))
        sound = sound + np.float32(0.004) * draw.standard_normal(len(sound)).astype(np.float32)
        return Utterance(heard, Audio(sound, began), headset.source)

    def _tell(self) -> None:
        """What does not go by the book, each once."""
        step = self.step
        if self.state.phase is not Phase.ANSWERING or step in self._told:
            return
        self._told.add(step)
        work = self._pause
        right, _ = self.right()
        if step == DOUBTFUL_AT:
            self._said = [(right, 0.42, work)]
        elif step == TORQUE_AT:
            self._said = [
                ("one four newton metres", 0.96, work),
                (f"correction {right}", 0.96, work),
            ]
        elif step == STOOD_AT:
            self._said = [
                ("stand by", 0.98, work),
                (WHY_IT_STOOD, 0.0, timedelta(seconds=2)),
                ("go ahead", 0.97, STOOD_FOR),
            ]


def hold_long(
    folder: Path, pause: timedelta = timedelta(seconds=28), files: Files | None = None
) -> None:
    """The whole run into a new record."""
    shift = Shift(pause)
    path = FOLDER / "door-slide-refit.yaml"
    how = Circumstances(shift.task.task, shift.task.revision, Way.VOICE, ())
    with Record(
        folder,
        path.read_text(encoding="utf-8"),
        lambda: START + shift.now,
        lambda: shift.now,
        KEYS,
        files or NoSync(),
        how,
    ) as record:
        end = run(
            *(shift.task, shift, record, shift, NoScreen()),
            followers=(shift,),
            people=read_roster(ROSTER.read_text(encoding="utf-8"), ROSTER.name),
            utc_now=lambda: START,
        )
    assert end.phase is Phase.FINISHED, shift.step


if __name__ == "__main__":
    hold_long(Path(sys.argv[1]))
