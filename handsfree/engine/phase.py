"""What a run can wait for, and which words mean something then."""

from enum import Enum

from handsfree.words.plain import PlainWord
from handsfree.words.standard import StandardWord


class Phase(Enum):
    """What the run waits for."""

    READY = "ready"  # to be started
    ANSWERING = "answering"  # for what the step expects
    CONFIRMING = "confirming"  # for "affirm" of a value that was read back
    OUTSIDE = "outside"  # for a better value: the last one was refused
    DEFERRING = "deferring"  # for "affirm" that the step is deferred
    REFERENCING = "referencing"  # for the reference under which the step was deferred
    DEFERRAL_HEARD = "deferral heard"  # for "affirm" of who deferred it, and of the reference
    SECOND = "second"  # for the second person to state the same value
    IDENTIFYING = "identifying"  # for a staff number
    IDENTITY_HEARD = "identity heard"  # for "affirm" of a staff number that was read back
    INSPECTING = "inspecting"  # for "inspected" or "rejected"
    REMARKING = "remarking"  # for anything: the next utterance is a remark
    CATEGORISING = "categorising"  # for the category of a finding
    CHECKING_STATES = "checking states"  # for "affirm" that a state is as it is recorded
    GOING_BACK = "going back"  # for "affirm" that steps are undone and their states put back
    STANDING_BY = "standing by"  # for "go ahead", and nothing else
    FINISHED = "finished"


# The legal moves. A standard word that is not listed is answered, but changes nothing.
ALWAYS = frozenset(
    {
        StandardWord.SAY_AGAIN,
        StandardWord.WORDS_TWICE,
        StandardWord.STAND_BY,
        StandardWord.HOW_DO_YOU_READ,
    }
)
TAKE_BACK = frozenset({StandardWord.CORRECTION, StandardWord.DISREGARD})
ACTED_ON: dict[Phase, frozenset[StandardWord]] = {
    Phase.READY: frozenset(),
    Phase.ANSWERING: ALWAYS | {StandardWord.UNABLE},
    Phase.CONFIRMING: ALWAYS
    | TAKE_BACK
    | {
        StandardWord.AFFIRM,
        StandardWord.NEGATIVE,
        StandardWord.READ_BACK,
        StandardWord.UNABLE,
    },
    Phase.OUTSIDE: ALWAYS | TAKE_BACK | {StandardWord.READ_BACK, StandardWord.UNABLE},
    Phase.DEFERRING: ALWAYS | {StandardWord.AFFIRM, StandardWord.NEGATIVE, StandardWord.GO_AHEAD},
    Phase.REFERENCING: ALWAYS | {StandardWord.DISREGARD, StandardWord.GO_AHEAD},
    Phase.DEFERRAL_HEARD: ALWAYS
    | TAKE_BACK
    | {StandardWord.AFFIRM, StandardWord.NEGATIVE, StandardWord.READ_BACK, StandardWord.GO_AHEAD},
    Phase.SECOND: ALWAYS | TAKE_BACK | {StandardWord.UNABLE},
    Phase.IDENTIFYING: ALWAYS | {StandardWord.DISREGARD},
    Phase.IDENTITY_HEARD: ALWAYS
    | TAKE_BACK
    | {StandardWord.AFFIRM, StandardWord.NEGATIVE, StandardWord.READ_BACK},
    Phase.INSPECTING: ALWAYS,
    # What is said there is the remark, but for the words that only concern the hearing.
    Phase.REMARKING: frozenset({StandardWord.SAY_AGAIN, StandardWord.WORDS_TWICE}),
    Phase.CATEGORISING: ALWAYS,
    Phase.CHECKING_STATES: ALWAYS | {StandardWord.AFFIRM, StandardWord.NEGATIVE},
    Phase.GOING_BACK: ALWAYS | {StandardWord.AFFIRM, StandardWord.NEGATIVE, StandardWord.DISREGARD},
    Phase.STANDING_BY: frozenset({StandardWord.GO_AHEAD}),
    Phase.FINISHED: frozenset(),
}


# One short word is all that stands between the record and a pin that is not where it says.
HIGH_STAKES = frozenset({Phase.INSPECTING, Phase.CHECKING_STATES, Phase.GOING_BACK})
AT_A_STEP = frozenset({Phase.ANSWERING, Phase.CONFIRMING, Phase.OUTSIDE, Phase.SECOND})
_BETWEEN_ANSWERS = frozenset({Phase.ANSWERING, Phase.OUTSIDE})
_BEGUN = frozenset(Phase) - {Phase.READY, Phase.FINISHED}
# In a remark they would be a part of it.
_NOT_IN_A_REMARK = _BEGUN - {Phase.REMARKING, Phase.STANDING_BY}
# While the task waits nobody is left in silence: what changes nothing is answered there too.
HARMLESS_WORDS = frozenset(
    {StandardWord.SAY_AGAIN, StandardWord.WORDS_TWICE, StandardWord.HOW_DO_YOU_READ}
)
DELIVERY = frozenset({PlainWord.SLOWER, PlainWord.FASTER, PlainWord.LOUDER, PlainWord.QUIETER})
HARMLESS_ORDERS = frozenset({PlainWord.WHERE_AM_I, PlainWord.HELP, *DELIVERY})
ORDERED_IN: dict[PlainWord, frozenset[Phase]] = {
    PlainWord.WHERE_AM_I: _NOT_IN_A_REMARK,
    PlainWord.HAND_OVER: _BETWEEN_ANSWERS,
    PlainWord.BACK_TO_STEP: _BETWEEN_ANSWERS | {Phase.CHECKING_STATES},
    PlainWord.CLOSE_FINDING: _BETWEEN_ANSWERS,
    PlainWord.GO_BACK: _BETWEEN_ANSWERS | {Phase.CHECKING_STATES},
    PlainWord.HELP: _BEGUN - {Phase.STANDING_BY},
    PlainWord.STOP: _NOT_IN_A_REMARK,
    **dict.fromkeys(DELIVERY, _NOT_IN_A_REMARK),
}
