"""What is told while a run goes on: put on the record, shown and spoken."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial

from handsfree.engine import wording
from handsfree.engine.delivery import Delivery
from handsfree.engine.effects import Effect, Say, Speech, Write
from handsfree.engine.state import State
from handsfree.record import Record
from handsfree.record.marks import NotHeard, ScreenLost
from handsfree.running.parts import Follower, Screen
from handsfree.running.signals import Interruptible
from handsfree.speaking import Speaker


class Interrupted(Exception):
    """Somebody ended the run while it spoke; what it said is on the record."""

    def __init__(self, state: State, reason: str) -> None:
        self.state = state
        self.reason = reason


@dataclass(slots=True)
class Telling:
    """Tells people what the run decides, once it is on the record."""

    record: Record
    speaker: Speaker
    screen: Screen
    followers: Sequence[Follower]
    may_stop: Interruptible
    speak_as: Callable[[Delivery], None] | None
    delivery: Delivery = field(default_factory=Delivery)  # in which the voice speaks
    screen_lost: bool = False
    unsaid: str = ""  # waits for what is spoken in the same breath

    def tell(self, state: State, effect: Effect, following: Effect | None = None) -> None:
        """Put a decision on the record, show it, and say what is to be said.

        A read back and the question to it are spoken in one breath, once both are on the record.
        """
        if isinstance(effect, Write | Say):
            self.record.append(effect.entry if isinstance(effect, Write) else effect)
        self.show(state, effect)
        match effect:
            case Write(entry):
                self.on_screen(lambda: self.screen.decided(entry))
            case Say():
                if self.speak_as is not None and state.exchange.delivery != self.delivery:
                    self.delivery = state.exchange.delivery
                    self.speak_as(self.delivery)
                in_one_breath = isinstance(following, Say) and (
                    (effect.speech, following.speech) == (Speech.READ_BACK, Speech.QUESTION)
                )
                try:
                    self.say(effect, wait=in_one_breath)
                except KeyboardInterrupt as stop:
                    raise Interrupted(state, reason_of(stop)) from None

    def show(self, state: State, effect: Effect) -> None:
        """Show where the run stands as `effect` begins."""
        for follower in self.followers:
            follower.follows(state, effect)

    def say(self, say: Say, *, wait: bool = False) -> None:
        """Show and speak what is on the record already; or `wait` and speak it with the next."""
        self.on_screen(lambda: self.screen.said(say))
        self.unsaid = f"{self.unsaid} {say.text}".strip()
        if wait:
            return
        text, self.unsaid = self.unsaid, ""
        with self.may_stop():
            self.speaker.say(text)

    def on_screen(self, show: Callable[[], None]) -> None:
        """Show something, as long as there is a screen. The voice is enough to go on."""
        if self.screen_lost:
            return
        try:
            show()
        except (OSError, ValueError) as error:  # a full disk, a closed pipe, a closed file
            self.screen_lost = True
            self.record.append(ScreenLost(str(error) or type(error).__name__))
            self.speaker.say(wording.failures.screen_lost().text)

    def missed(self, missed: NotHeard) -> None:
        """Nothing is lost without a trace: the record tells that there was something."""
        self.record.append(missed)
        self.on_screen(partial(self.screen.not_heard, missed))
        for follower in self.followers:
            follower.not_heard(missed)


def reason_of(stop: KeyboardInterrupt) -> str:
    """Why somebody ended the run."""
    return str(stop) or "interrupted"
