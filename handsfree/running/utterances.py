"""Utterances: what is between two boundaries, recognized, or told of where it cannot be taken."""

from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from handsfree.engine.over_the_tool import LISTENED_FOR, asks_to_wait
from handsfree.hearing.audio import Audio
from handsfree.hearing.live.early import EarlyRecognition, RecognizerFailed
from handsfree.hearing.live.endpoint import (
    FRAME_MS,
    Began,
    Boundary,
    Ended,
    Paused,
    RanOn,
    TalkedOn,
    WentOn,
)
from handsfree.hearing.live.waits import WAITS, Wait
from handsfree.record.marks import NotHeard
from handsfree.running.parts import Reached, Utterance
from handsfree.running.talker import Talker
from handsfree.words.heard import EndRule, Heard, Trouble
from handsfree.words.phrases import PhraseSet
from handsfree.words.rest import Rest


@dataclass(slots=True)
class _Early:
    """What is being recognized, and may turn out to be the whole utterance."""

    talker: Talker
    first: int
    end: int
    heard: Heard | None = None  # once it is known
    wait: Wait | None = None  # and what follows from it

    def is_of(self, talker: Talker, first: int, end: int) -> bool:
        """Whether it is just this sound."""
        return self.talker is talker and (self.first, self.end) == (first, end)


class Utterances:
    """Makes utterances of what people say, and keeps them until they are asked for."""

    def __init__(
        self,
        recognition: EarlyRecognition,
        waits: Mapping[Rest, Wait] = WAITS,
        hears_over: Callable[[], bool] = lambda: False,
    ) -> None:
        """`waits` is how much silence ends an utterance. `hears_over` tells whether it can still be
        taken back over the tool's answer."""
        self._recognition = recognition
        self._waits = waits
        self._hears_over = hears_over
        self._waiting: deque[Reached] = deque()
        self._early: _Early | None = None

    def __bool__(self) -> bool:
        return bool(self._waiting)

    def next(self, talkers: Mapping[str, Talker]) -> Reached:
        """The oldest one that nobody has asked for yet. What its person says now is another one."""
        reached = self._waiting.popleft()
        if isinstance(reached, Utterance):
            talkers[reached.source].is_over()
        return reached

    def tell(self, person: str, problem: str) -> None:
        """Something could not be taken."""
        self._waiting.append(NotHeard(person, problem))

    def tool_speaks(self) -> None:
        """What waits answers something else than the tool says now: none of it is acted on."""
        self.drop_early()
        self._waiting = deque(_not_acted_on(each) for each in self._waiting)

    def follow(self, talker: Talker, boundary: Boundary, phrases: PhraseSet) -> None:
        """Go on from a boundary in what a person says."""
        match boundary:
            case Began():
                talker.begins()
            case Paused(first, end) if not talker.is_crosstalk(first, end):
                # One recognizer: the person who paused last is the one it listens to.
                self._early = _Early(talker, first, end)
                self._recognition.begin(talker.audio(first, end), phrases)
            case WentOn(pause):
                talker.pauses.append(pause)
                self._drop_early_of(talker)
            case TalkedOn(pause):
                talker.pauses.append(pause)
                self._take_back(talker)
            case RanOn(first, end) if not talker.is_crosstalk(first, end):
                self._ran_on(talker, first, end)
            case Ended():
                self._ended(talker, boundary, phrases)
            case Paused() | RanOn():
                pass

    @property
    def is_recognizing(self) -> bool:
        """Whether it is not known yet what was said before a pause."""
        return self._early is not None and self._early.wait is None

    def decide(self, phrases: PhraseSet) -> None:
        """Once it is known what was said before a pause, that decides how long the pause may be."""
        early = self._early
        if early is None or early.wait is not None:
            return
        early.heard = self._recognition.known()
        if early.heard is not None:
            early.wait = self._wait_after(early.talker, early.heard, phrases)
            for boundary in early.talker.channel.ends_after(early.wait.silence):
                self.follow(early.talker, boundary, phrases)

    def sound_missing(self, talker: Talker) -> None:
        """What is being said has a hole now. What follows is treated as begun unheard."""
        self.tell(talker.person, "Sound was lost: the computer was too slow for a moment.")
        talker.channel.listen_from_here()
        self._drop_early_of(talker)

    def drop_early(self) -> None:
        """Forget what is being recognized."""
        self._recognition.drop()
        self._early = None

    def _wait_after(self, talker: Talker, heard: Heard, phrases: PhraseSet) -> Wait:
        return talker.wait_after(heard, phrases, self._waits, hears_over=self._hears_over())

    def _drop_early_of(self, talker: Talker) -> None:
        if self._early is not None and self._early.talker is talker:
            self.drop_early()

    def _take_back(self, talker: Talker) -> None:
        """What this person said last was not all of it: it is heard anew, with what follows."""
        last, talker.unsettled = talker.unsettled, None
        still_waiting = deque(each for each in self._waiting if each is not last)
        if len(still_waiting) < len(self._waiting):
            self._waiting = still_waiting
            talker.joined += 1

    def _ran_on(self, talker: Talker, first: int, end: int) -> None:
        seconds = (end - first) * FRAME_MS / 1000
        self.tell(
            talker.person, f"Voice for {seconds:.0f} s without a pause: no answer is so long."
        )
        self._drop_early_of(talker)
        ended_by = talker.ended_by(EndRule.TOO_LONG, 0)
        asked = talker.not_believed(talker.audio(first, end), ended_by, Trouble.NO_PAUSE)
        self._waiting.append(asked)

    def _ended(self, talker: Talker, ended: Ended, phrases: PhraseSet) -> None:
        # Up to now, and not only to its end: another headset can be a quarter of a second later.
        if talker.is_crosstalk(ended.first, talker.channel.frames_seen):
            self._not_taken(talker)
            return
        near = talker.is_near(ended.first, ended.end)
        if not ended.cut:  # else it may have been the tool itself
            talker.learn_level(ended.first, ended.end)
        if not near:
            problem = "A voice far from the microphone. Come closer if it was for the task."
            self.tell(talker.person, problem)
            self._not_taken(talker)
            return
        audio = talker.audio(ended.first, ended.end)
        if ended.cut:
            self._cut_off(talker, audio, ended.silence)
            return
        if self._early is None or not self._early.is_of(talker, ended.first, ended.end):
            self._early = _Early(talker, ended.first, ended.end)
            self._recognition.begin(audio, phrases)
        early = self._early
        try:
            heard = early.heard or self._recognition.result()
        except RecognizerFailed as error:
            self._early = None
            self.tell(talker.person, str(error))
            asked = talker.not_believed(audio, talker.ended_by(EndRule.NOT_KNOWN, ended.silence))
            self._may_go_on(talker, asked)
            return
        wait = early.wait or self._wait_after(talker, heard, phrases)
        if wait.silence > ended.silence:
            # It was not known in time that there is more to come.
            early.heard, early.wait = heard, wait
            talker.channel.ends_after(wait.silence)
            return
        self._early = None
        ended_by = talker.ended_by(wait.rule, ended.silence)
        talker.learn_pauses()
        self._may_go_on(talker, talker.utterance(heard, audio, ended_by))

    def _may_go_on(self, talker: Talker, utterance: Utterance) -> None:
        talker.unsettled = utterance
        self._waiting.append(utterance)

    def _not_taken(self, talker: Talker) -> None:
        self._drop_early_of(talker)
        talker.is_over()

    def _cut_off(self, talker: Talker, audio: Audio, silence: int) -> None:
        """Words may be missing in front, so only what is always safe is heeded: to wait."""
        self._early = None
        self._recognition.begin(audio, LISTENED_FOR)
        ended_by = talker.ended_by(EndRule.NOT_KNOWN, silence)
        try:
            heard = self._recognition.result()
        except RecognizerFailed as error:
            self.tell(talker.person, str(error))
        else:
            if asks_to_wait(heard):
                heard = replace(heard, trouble=Trouble.CUT_OFF)
                self._waiting.append(talker.utterance(heard, audio, ended_by))
                return
            problem = "It began while the tool spoke, so its first words may be missing."
            self.tell(talker.person, problem)
        self._waiting.append(talker.not_believed(audio, ended_by, Trouble.CUT_OFF))


def _not_acted_on(reached: Reached) -> Reached:
    """What was heard when the tool had begun to answer something else."""
    if not isinstance(reached, Utterance):
        return reached
    words = " ".join(reached.heard.words) or "something that fits nothing"
    return NotHeard(reached.source, f"Said while the tool began to answer: {words}.")
