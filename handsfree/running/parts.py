"""What a run is put together from: its ear, its screen, its followers, and what passes there."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Protocol

from handsfree.engine.effects import Effect, Say
from handsfree.engine.entries import Entry
from handsfree.engine.events import HearingLost, HearingReturned, SilenceFor, TimeCame
from handsfree.engine.state import State
from handsfree.hearing.audio import Audio
from handsfree.record.marks import NotHeard
from handsfree.task.roles import Role
from handsfree.words.heard import Heard
from handsfree.words.phrases import PhraseSet

KEYBOARD = "keyboard"
"""The source of what was typed."""


@dataclass(frozen=True, slots=True)
class Utterance:
    """One thing that reached the ear."""

    heard: Heard
    audio: Audio | None  # None: it was typed
    source: str  # such as the name of the clip


Reached = Utterance | NotHeard | SilenceFor | TimeCame | HearingLost | HearingReturned | None


class Ear(Protocol):
    """Where utterances come from."""

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Reached:
        """Wait for the next utterance; None means that no more will come.

        Where nothing is heard before the running time `until`, an ear that can tell gives TimeCame.
        """


class Screen(Protocol):
    """Where a person can follow the run."""

    def said(self, say: Say) -> None:
        """The tool is about to say this."""

    def heard(self, utterance: Utterance, by: Role) -> None:
        """This was heard, by the headset, or by whose word was waited for, from this person."""

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
