"""Two persons state a value, and neither statement is an echo of the other.

CAP 716, Aviation Maintenance Human Factors, from memory: who is told what to see, sees it. The
rules that follow from it are common practice, no source.
"""

import pytest

from handsfree.engine.effects import Say, Speech
from handsfree.engine.entries import (
    FindingOpened,
    FirstStated,
    NotHeeded,
    ReadingTaken,
    SecondStated,
    StatementsDiffer,
    Withdrawn,
)
from handsfree.engine.findings import Category, Finding
from handsfree.engine.phase import Phase
from handsfree.engine.trust import DENIAL_AT
from handsfree.task.read import read_task
from tests.engine.people_task import TO_PART, TO_PRESSURE, VALVE, Crewed, at


def spoken(run: Crewed) -> str:
    return " ".join(each.text.lower() for each in run.last if isinstance(each, Say))


def test_the_first_value_is_not_said_before_the_second_person_has_stated_theirs() -> None:
    """Said aloud, a value that was misread would come back just so: an echo, and no check."""
    run = at(*TO_PRESSURE, "one five zero zero")
    misread, echo = "one five zero zero", ""
    for words in ("say again", "read back", "words twice", misread, "affirm", "where am i"):
        assert "one five zero zero" not in spoken(run)
        assert "limits" not in spoken(run)
        echo += spoken(run)
        run.say(words)
    # A second person who only repeats what the tool says has nothing to repeat ...
    assert "five" not in echo
    # ... and who looks, finds the mistake.
    assert isinstance(run.say("second one six zero zero").written[-1], StatementsDiffer)


def test_two_that_agree_are_read_back_and_affirmed() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "second pressure one five zero zero p s i")
    assert run.did == [SecondStated, ReadingTaken, Speech.READ_BACK, Speech.QUESTION]
    assert [type(each) for each in run.written] == [SecondStated, ReadingTaken]
    assert run.say("affirm").step == "close-valve"
    assert dict(run.state.readings) == {"pressure": 1500}


def test_one_step_of_the_scale_apart_differs() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "second one five one zero")
    assert StatementsDiffer("pressure", "1500", "1510", 1) in run.written
    assert run.did == [SecondStated, StatementsDiffer, Speech.QUESTION]
    assert run.say("affirm").step == "pressure"


@pytest.mark.parametrize("same", ["one five zero zero", "one thousand five hundred"])
def test_the_same_value_in_other_words_agrees(same: str) -> None:
    run = at(*TO_PRESSURE, "one five zero zero", f"second {same}", "affirm")
    assert dict(run.state.readings) == {"pressure": 1500}


def test_two_that_lie_on_two_sides_of_a_limit_never_agree() -> None:
    run = at(*TO_PRESSURE, "two zero zero zero", "second two zero one zero")
    assert isinstance(run.written[-1], StatementsDiffer)


def test_three_differences_open_a_finding() -> None:
    run = at(*TO_PRESSURE, *("one five zero zero", "second one six zero zero") * 3)
    opened = next(each for each in run.written if isinstance(each, FindingOpened))
    assert opened.finding == Finding(
        1, "pressure", Category.DATA, "two persons read different values, 3 times", "OA417"
    )
    assert run.state.phase is Phase.STANDING_BY


def test_the_second_person_does_not_speak_first() -> None:
    run = at(*TO_PRESSURE, "second one five zero zero")
    assert run.did == [NotHeeded, Speech.QUESTION]
    assert run.state.phase is Phase.ANSWERING


@pytest.mark.parametrize("channel", [1, 3])
def test_the_word_second_on_another_headset_is_not_believed(channel: int) -> None:
    run = at(*TO_PRESSURE, "one five zero zero").hear("second one five zero zero", channel=channel)
    assert run.state.phase is Phase.SECOND
    assert "five" not in spoken(run)


def test_on_the_second_headset_the_word_is_not_needed_and_not_asked_for() -> None:
    run = at(*TO_PRESSURE).hear("one five zero zero", channel=1)
    assert run.did == [FirstStated, Speech.QUESTION]
    run.hear("one five zero zero", channel=1)
    assert run.did == [NotHeeded, Speech.QUESTION]
    run.hear("one five zero zero", channel=2)
    assert run.state.phase is Phase.CONFIRMING


def test_without_headsets_the_second_person_is_asked_to_say_the_word() -> None:
    run = at(*TO_PRESSURE, "one five zero zero")
    assert run.did == [FirstStated, Speech.QUESTION]
    assert run.say("one five zero zero").did == [NotHeeded, Speech.QUESTION]


def test_the_technician_corrects_before_the_second_has_spoken() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "correction one six zero zero")
    assert "six" not in spoken(run)
    assert run.say("second one six zero zero", "affirm").state.readings[-1][1] == 1600


@pytest.mark.parametrize("channel", [None, 1])
def test_a_correction_that_is_doubted_withdraws_the_first_value(channel: int | None) -> None:
    run = at(*TO_PRESSURE).hear("one five zero zero", channel=channel)
    run.hear("correction one six zero zero", DENIAL_AT, channel)
    assert [type(each) for each in run.written] == [NotHeeded, Withdrawn]
    assert run.state.phase is Phase.ANSWERING
    assert "five" not in spoken(run)


@pytest.mark.parametrize(
    ("words", "channel"),
    [
        ("second one six correction one five zero zero", None),
        ("one six correction one five zero zero", 2),
    ],
)
def test_a_second_person_who_corrects_themselves_leaves_the_first_value(
    words: str, channel: int | None
) -> None:
    run = at(*TO_PRESSURE).hear("one five zero zero", channel=1)
    run.hear(words, DENIAL_AT, channel)
    assert run.state.phase is Phase.SECOND


def test_a_correction_after_both_is_read_back_by_both_again() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "second one five zero zero")
    assert run.say("correction one six zero zero").state.phase is Phase.SECOND


def test_part_numbers_are_compared_letter_by_letter() -> None:
    run = at(*TO_PART, "kilo delta four seven", "second kilo delta four eight")
    assert StatementsDiffer("part", "KD47", "KD48", 1) in run.written
    run.say("kilo delta four seven", "second kilo delta four seven", "affirm")
    assert run.step == "lock"


SLACK = VALVE.replace("resolution: 10, limits", "resolution: 10, agree_within: 20, limits")


def with_slack(first: str, second: str) -> Crewed:
    return Crewed(read_task(SLACK, "valve.yaml")).say(*TO_PRESSURE, first, f"second {second}")


@pytest.mark.parametrize(
    ("first", "second", "judged"),
    [
        ("one niner eight zero", "one niner niner zero", 1990),
        ("one niner niner zero", "one niner eight zero", 1990),
        ("one zero two zero", "one zero zero zero", 1000),
        ("one niner niner zero", "two zero one zero", 2010),
    ],
)
def test_within_the_slack_of_the_gauge_the_value_nearer_to_a_limit_is_judged(
    first: str, second: str, judged: int
) -> None:
    run = with_slack(first, second)
    taken = [each for each in run.written if isinstance(each, ReadingTaken)]
    assert [each.value for each in taken] == [judged]
    assert (run.state.phase is Phase.OUTSIDE) == (judged > 2000)


def test_both_values_are_on_record_where_they_agree_within_the_slack() -> None:
    run = with_slack("one niner niner zero", "one niner eight zero")
    stated = next(each for each in run.written if isinstance(each, SecondStated))
    taken = next(each for each in run.written if isinstance(each, ReadingTaken))
    assert (stated.figures, taken.figures) == ("1980", "1990")
    assert run.say("affirm").state.readings[-1][1] == 1990


def test_beyond_the_slack_of_the_gauge_they_differ() -> None:
    run = with_slack("one niner five zero", "one niner eight zero")
    assert isinstance(run.written[-1], StatementsDiffer)
