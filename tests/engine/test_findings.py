"""What cannot be done is a finding, open until a second person closes it.

14 CFR 43.11(b), a list of discrepancies, by analogy and from memory; who may close a finding is
common practice, no source.
"""

import pytest

from handsfree.engine.effects import Speech, Write
from handsfree.engine.entries import (
    FindingClosed,
    FindingOpened,
    NotHeeded,
    PersonRefused,
    Remarked,
    StepConfirmed,
    TaskEnded,
)
from handsfree.engine.findings import Category
from handsfree.words.heard import Heard, Opinion
from tests.engine.people_task import AGREED, RUAN, SEFA, TARN, TO_COVER, at


def test_a_remark_is_the_free_transcription_and_no_word_of_it_is_acted_on() -> None:
    run = at(*TO_COVER, "unable")
    opinion = Opinion("any", ("affirm",), -1.0, 0.0, "The hinge is bent, affirm.")
    run.send(Heard(("affirm",), 0.99, (), (opinion,), run.now, run.now))
    run.finish_speaking()
    assert Remarked("cover", "unable", "The hinge is bent, affirm.", 1) in run.written
    assert run.step == "cover"


def test_nothing_said_is_no_remark() -> None:
    run = at(*TO_COVER, "unable", "")
    assert run.did == [NotHeeded, Speech.QUESTION]


def test_a_finding_is_open_from_the_word_unable() -> None:
    """Whatever follows, or does not: nothing that cannot be done is lost."""
    run = at(*TO_COVER, "unable")
    assert any(isinstance(each, FindingOpened) for each in run.written)


def test_a_finding_is_in_the_summary_until_a_second_person_closes_it() -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", "go ahead")
    assert run.say("close finding two").did == [Speech.READ_BACK]
    run.say("close finding one", TARN)
    assert run.did == [PersonRefused, Speech.READ_BACK, Speech.QUESTION]
    run.say(SEFA, "affirm")
    assert run.answer == "Finding one. Say what was done."
    assert [each.number for each in run.state.findings.open] == [1]  # not before that is said
    run.say("a new hinge is fitted")
    assert run.written[:2] == [
        Remarked("cover", "closed", "a new hinge is fitted", 1),
        FindingClosed(1, "OA522", "Sefa Lund"),
    ]
    assert run.answer.startswith("Finding one is closed by Sefa Lund.")
    assert run.step == "cover"
    assert run.state.findings.open == ()


@pytest.mark.parametrize("word", ["disregard", "negative", "stand by", "affirm", "unable"])
def test_a_standard_word_by_itself_tells_of_nothing_done_and_closes_no_finding(word: str) -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", "go ahead")
    run.say("close finding one", SEFA, "affirm", word)
    assert [each.number for each in run.state.findings.open] == [1]
    assert not any(isinstance(each, FindingClosed) for each in run.written)


def test_the_finding_that_would_be_closed_is_read_back_before_it_is() -> None:
    """ "Close finding one" that was heard as another one must not close that in silence."""
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", "go ahead")
    run.say("unable", "the tool is bent", "tool", "go ahead")
    run.say("close finding two", SEFA)
    assert run.did == [Speech.READ_BACK, Speech.READ_BACK, Speech.QUESTION]
    assert not [each for each in run.written if isinstance(each, FindingClosed)]
    run.say("negative")
    assert [each.number for each in run.state.findings.open] == [1, 2]


def test_a_supervisor_may_close_a_finding_too_and_works_at_nothing_else() -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", "go ahead")
    run.say("close finding one", RUAN, "affirm", "it is as it should be")
    assert FindingClosed(1, "OA966", "Ruan Dell") in run.written
    assert at(TARN, "affirm", RUAN).did == [PersonRefused, Speech.READ_BACK, Speech.QUESTION]


def test_a_finding_that_is_open_at_the_end_is_read_out() -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", *AGREED, "pin removed")
    written = [each.entry for each in run.effects if isinstance(each, Write)]
    ended = next(each for each in written if isinstance(each, TaskEnded))
    assert [each.number for each in ended.open_findings] == [1]
    assert run.did == [
        StepConfirmed,
        TaskEnded,
        Speech.READ_BACK,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.NOTICE,
    ]


def test_what_stands_in_the_way_is_asked_for_with_every_category() -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent")
    assert run.answer == "Noted. Is it part, tool, data, access, condition, or other reason?"


@pytest.mark.parametrize("said", ["other", "other reason"])
def test_a_lone_other_is_still_understood_and_stands_on_the_record_as_ever(said: str) -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", said)
    (finding,) = run.state.findings.open
    assert (finding.category, finding.category.value) == (Category.OTHER, "other")
