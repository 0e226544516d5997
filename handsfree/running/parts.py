"""What a run is put together from: its ear, its screen, its followers, and what passes there."""

from dataclasses import dataclass
from typing import Protocol

from handsfree.engine.effects import Effect, Say
from handsfree.engine.entries import Entry
from handsfree.engine.events import HearingLost, HearingReturned, SilenceFor
from handsfree.engine.state import State
from handsfree.hearing.audio import Audio
from handsfree.record.marks import NotHeard
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet


@dataclass(frozen=True, slots=True)
class Utterance:
    """One thing that reached the ear."""

    heard: Heard
    audio: Audio | None  # None: it was typed
    source: str  # such as the name of the clip


Reached = Utterance | NotHeard | SilenceFor | HearingLost | HearingReturned | None


class Ear(Protocol):
    """Where utterances come from."""

    def hear(self, phrases: PhraseSet) -> Reached:
        """Wait for the next utterance; None means that no more will come."""


class Screen(Protocol):
    """Where a person can follow the run."""

    def said(self, say: Say) -> None:
        """The tool is about to say this."""

    def heard(self, utterance: Utterance) -> None:
        """This was heard."""

    def not_heard(self, missed: NotHeard) -> None:
        """This could not be taken."""

    def decided(self, entry: Entry) -> None:
        """The engine decided this, and it is on the record."""


class Follower(Protocol):
    """What else follows the run, such as a board. It must return at once, and never raise."""

    def follows(self, state: State, effect: Effect) -> None:
        """`effect` begins, and the run stands at `state`; what is written or said is on record."""

    def not_heard(self, missed: NotHeard) -> None:
        """This could not be taken."""
