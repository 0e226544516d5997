"""What each entry tells of what went wrong, in the words of the summary.

That a word, a limit or a sort of thing is as it is: common practice, no source.
"""

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from handsfree.engine.entries import (
    AnsweredTooEarly,
    ChoiceMade,
    CountDiffers,
    DateRead,
    IdentityRead,
    InspectionRejected,
    NotActedOn,
    NotHeeded,
    PersonRefused,
    ReadingRefused,
    ReadingTaken,
    Replaced,
    StateDiffers,
    StatementsDiffer,
    StepBegun,
    StoodBy,
    TaskEnded,
    TimesVoid,
    WentBack,
    Withdrawn,
)
from handsfree.engine.events import HearingLost, VoiceLost
from handsfree.record.entries import LoggedEntry
from handsfree.record.marks import (
    NotHeard,
    Redacted,
    Resumed,
    Reviewed,
    ScreenLost,
    Stopped,
    TailCut,
)
from handsfree.record.mishaps import Kind, mishaps
from handsfree.record.values import fields_of, kind_of
from handsfree.task.limits.forms import Verdict
from handsfree.task.roles import Role
from handsfree.task.validity import DateVerdict
from tests.record.runs import START

S = timedelta(seconds=1)
STOPPED, RESUMED = Stopped("pin", "SIGTERM"), Resumed("pin", "T. Person")
CUT, TAKEN_OUT = TailCut(40, "{"), Redacted(("0" * 64,), None, "a name was said")
REVIEWED = Reviewed("A. Person", "0" * 64, "supervisor", True, "")


@dataclass(frozen=True)
class Late:
    """An entry whose clock on the wall goes ahead of the running time by so much."""

    value: object
    by: timedelta


def told(*values: Any) -> list[tuple[Kind, str]]:
    """Of entries that follow each other by a second."""
    entries = []
    for seq, each in enumerate(values):
        value, ahead = (each.value, each.by) if isinstance(each, Late) else (each, 0 * S)
        utc = (START + seq * S + ahead).isoformat(timespec="milliseconds")
        entries.append(LoggedEntry(seq, kind_of(value), utc, seq * S, None, None, fields_of(value)))
    return [(each.kind, each.what) for each in mishaps(entries)]


def reading(verdict: Verdict, *, corrects: bool) -> ReadingTaken:
    return ReadingTaken("gauge", Decimal(9), "bar", "9", verdict, "10", "20", corrects)


@pytest.mark.parametrize(
    ("value", "kind", "what"),
    [
        (reading(Verdict.BELOW, corrects=False), Kind.VALUE, "gauge: 9 bar, below minimum"),
        (
            reading(Verdict.INSIDE, corrects=True),
            Kind.CORRECTION,
            "gauge: the value was said anew, 9 bar",
        ),
        (ReadingRefused("gauge", "9", "psi", "no"), Kind.VALUE, "gauge: 9 psi, no"),
        (ReadingRefused("gauge", "9", None, "no"), Kind.VALUE, "gauge: 9, no"),
        (
            Replaced("gauge", "9", "bar"),
            Kind.CORRECTION,
            "gauge: 9 bar was replaced in the same utterance",
        ),
        (Withdrawn("gauge"), Kind.CORRECTION, "gauge: the value was taken back"),
        (
            IdentityRead("part", "KD47", False),
            Kind.TOOL,
            "part: KD47, it is not one that is accepted",
        ),
        (IdentityRead("part", "KD47", False, "too long"), Kind.TOOL, "part: KD47, too long"),
        (
            DateRead("due", "2031-05-04", DateVerdict.OUT_OF_DATE, False),
            Kind.TOOL,
            "due: 2031-05-04, out of date",
        ),
        (ChoiceMade("side", "left", False), Kind.TOOL, "side: left"),
        (
            CountDiffers("tools", "ties", 4, 3, 1, ()),
            Kind.COUNT,
            "tools: ties, 3 counted in of 4 that were out",
        ),
        (
            StatementsDiffer("gauge", "9", "19", 1),
            Kind.DIFFERENT,
            "gauge: one read 9, the other 19",
        ),
        (WentBack("pin", ("pin", "cap"), ()), Kind.UNDONE, "to pin, undone: pin, cap"),
        (WentBack("pin", (), ()), Kind.UNDONE, "to pin, undone: nothing"),
        (InspectionRejected("lock", "OA633"), Kind.REJECTED, "lock: by OA633"),
        (
            NotHeeded("pin", ("pin", "fitted"), NotActedOn.DOUBTFUL),
            Kind.DOUBTFUL,
            "pin: 'pin fitted', doubtful hearing",
        ),
        (
            NotHeeded("pin", ("pin", "fitted"), NotActedOn.NOT_EXPECTED),
            Kind.IGNORED,
            "pin: 'pin fitted', does not answer this step",
        ),
        (
            PersonRefused(Role.SECOND_PERSON, "OA417", "the same person"),
            Kind.PERSON,
            "OA417 as second person: the same person",
        ),
        (
            StateDiffers("pin", "fitted", ()),
            Kind.STATE,
            "pin: recorded as fitted, found otherwise",
        ),
        (
            AnsweredTooEarly("wait", "pin fitted", 3 * S),
            Kind.TIME,
            "wait: 'pin fitted' came too early, and was asked for again",
        ),
        (
            TimesVoid(("wait", "soak")),
            Kind.TIME,
            "wait, soak: the time was not measured to its end",
        ),
        (StoodBy("pin", "unable"), Kind.UNABLE, "pin: a finding was opened"),
        (StoodBy("pin", "stand by"), Kind.INTERRUPTION, "pin: stand by"),
        (HearingLost("unplugged"), Kind.INTERRUPTION, "pin: hearing was lost, unplugged"),
        (VoiceLost("unplugged"), Kind.INTERRUPTION, "pin: the voice was lost, unplugged"),
        (ScreenLost("closed"), Kind.INTERRUPTION, "pin: the screen was lost, closed"),
        (STOPPED, Kind.INTERRUPTION, "pin: the program ended, SIGTERM"),
        (NotHeard("a.wav", "it is empty"), Kind.UNHEARD, "a.wav: it is empty"),
        (CUT, Kind.CUT, "40 bytes that were never acknowledged"),
        (
            TAKEN_OUT,
            Kind.REDACTION,
            "the sound of 1 clips was removed by nobody named: a name was said",
        ),
        (
            Redacted((), "A. Person", "a name was said"),
            Kind.REDACTION,
            "the sound of 0 clips was removed by A. Person: a name was said",
        ),
    ],
    ids=lambda each: type(each).__name__ if not isinstance(each, str) else "",
)
def test_it_is_told_what_went_wrong(value: object, kind: Kind, what: str) -> None:
    assert told(StepBegun("pin"), value) == [(kind, what)]


@pytest.mark.parametrize(
    "value",
    [
        reading(Verdict.INSIDE, corrects=False),
        IdentityRead("part", "KD47", True),
        DateRead("due", "2031-05-04", DateVerdict.IN_DATE, False),
        ChoiceMade("side", "left", True),
        NotHeeded("pin", ("pin", "fitted"), NotActedOn.STANDING_BY),
    ],
    ids=lambda each: type(each).__name__,
)
def test_nothing_is_told_of_what_is_right_and_of_words_while_standing_by(value: object) -> None:
    assert told(StepBegun("pin"), value) == []


@pytest.mark.parametrize(
    ("by", "what"),
    [
        (5 * S, None),
        (-1 * S, None),
        (5.001 * S, "set forward by 0:00:05.001000"),
        (-1.001 * S, "set back by 0:00:01.001000"),
    ],
)
def test_a_clock_that_moves_by_more_than_five_seconds_or_back_was_set(
    by: timedelta, what: str | None
) -> None:
    clock = [what for kind, what in told(StepBegun("pin"), Late(StepBegun("cap"), by))]
    assert [each.partition(",")[0] for each in clock] == ([] if what is None else [what])


def test_both_times_are_told_of_a_clock_that_was_set() -> None:
    assert told(StepBegun("pin"), Late(StepBegun("cap"), timedelta(hours=1))) == [
        (
            Kind.CLOCK,
            "set forward by 1:00:00, from 2031-05-04T12:00:00.000+00:00 "
            "to 2031-05-04T13:00:01.000+00:00",
        )
    ]


@pytest.mark.parametrize("mark", [RESUMED, REVIEWED, TAKEN_OUT], ids=lambda each: kind_of(each))
def test_between_two_programs_the_clock_may_go_forward_by_any_time(mark: object) -> None:
    kinds = [kind for kind, _ in told(STOPPED, Late(mark, timedelta(days=9)))]
    assert Kind.CLOCK not in kinds
    kinds = [kind for kind, _ in told(STOPPED, Late(mark, timedelta(days=-9)))]
    assert Kind.CLOCK in kinds


def test_who_goes_on_and_how_much_later_is_told() -> None:
    assert told(STOPPED, Late(RESUMED, 1.6 * S))[-1] == (
        Kind.RESUMED,
        "pin: gone on with the key of T. Person, 0:00:03 h later",
    )
    assert told(Resumed("pin", None)) == [(Kind.RESUMED, "pin: gone on without a key")]


@pytest.mark.parametrize(
    ("before", "killed"),
    [
        ((StepBegun("pin"),), True),
        ((StepBegun("pin"), STOPPED), False),
        ((StepBegun("pin"), STOPPED, StepBegun("pin")), True),
        ((StepBegun("pin"), CUT), True),
        ((StepBegun("pin"), STOPPED, TAKEN_OUT), False),
        ((StepBegun("pin"), STOPPED, REVIEWED), False),
        ((StepBegun("pin"), STOPPED, CUT), False),
        ((TaskEnded(()),), False),
        ((), False),
    ],
)
def test_a_program_that_wrote_no_end_was_killed(before: tuple[object, ...], killed: bool) -> None:
    found = [what for kind, what in told(*before, RESUMED) if kind is Kind.KILLED]
    assert found == ["it wrote no end; what was acknowledged is kept"] * killed


def test_each_sort_is_called_so_once_and_several_times() -> None:
    assert [each.value for each in Kind] == [
        ("value refused", "values refused"),
        ("number, date or choice refused", "numbers, dates or choices refused"),
        ("count that differed", "counts that differed"),
        ("read back that differed", "read backs that differed"),
        ("correction", "corrections"),
        ("doubtful hearing", "doubtful hearings"),
        ("utterance not acted on", "utterances not acted on"),
        ("sound not taken", "sounds not taken"),
        ("going back", "goings back"),
        ("inspection rejected", "inspections rejected"),
        ("person refused", "persons refused"),
        ("state found otherwise", "states found otherwise"),
        ("time not kept", "times not kept"),
        ("step that could not be done", "steps that could not be done"),
        ("interruption", "interruptions"),
        ("program killed", "programs killed"),
        ("line cut half written", "lines cut half written"),
        ("resumption", "resumptions"),
        ("step of the clock", "steps of the clock"),
        ("redaction", "redactions"),
    ]
