"""Two persons state a value, and neither statement is an echo of the other.

CAP 716, Aviation Maintenance Human Factors, from memory: who is told what to see, sees it. The
rules that follow from it are common practice, no source.
"""

import pytest

from handsfree.engine.effects import Say
from handsfree.engine.entries import FindingOpened, ReadingTaken, SecondStated, StatementsDiffer
from handsfree.engine.findings import Category, Finding
from handsfree.engine.phase import Phase
from tests.engine.people_task import TO_PART, TO_PRESSURE, Crewed, at


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
    assert run.answer == "One five zero zero p s i. Inside limits. Affirm?"
    assert [type(each) for each in run.written] == [SecondStated, ReadingTaken]
    assert run.say("affirm").step == "close-valve"
    assert dict(run.state.readings) == {"pressure": 1500}


def test_one_step_of_the_scale_apart_differs() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "second one five one zero")
    assert StatementsDiffer("pressure", "1500", "1510", 1) in run.written
    assert run.answer == (
        "The two differ. Both read again. Technician first. Report pressure in p s i."
    )
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
    assert run.answer == "The technician first. Report pressure in p s i."
    assert run.state.phase is Phase.ANSWERING


@pytest.mark.parametrize("channel", [1, 3])
def test_the_word_second_on_another_headset_is_not_believed(channel: int) -> None:
    run = at(*TO_PRESSURE, "one five zero zero").hear("second one five zero zero", channel=channel)
    assert run.state.phase is Phase.SECOND
    assert "five" not in spoken(run)


def test_on_the_second_headset_the_word_is_not_needed_and_not_asked_for() -> None:
    run = at(*TO_PRESSURE).hear("one five zero zero", channel=1)
    assert run.answer == "Noted. Second person, read the pressure yourself."
    run.hear("one five zero zero", channel=1)
    assert run.answer == "Noted. Second person, read the pressure yourself."
    run.hear("one five zero zero", channel=2)
    assert run.state.phase is Phase.CONFIRMING


def test_without_headsets_the_second_person_is_asked_to_say_the_word() -> None:
    asks = "Noted. Second person, read the pressure yourself. Say second first."
    run = at(*TO_PRESSURE, "one five zero zero")
    assert run.answer == asks
    assert run.say("one five zero zero").answer == asks  # whose word this is, nobody can tell


def test_the_technician_corrects_before_the_second_has_spoken() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "correction one six zero zero")
    assert "six" not in spoken(run)
    assert run.say("second one six zero zero", "affirm").state.readings[-1][1] == 1600


def test_a_correction_after_both_is_read_back_by_both_again() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "second one five zero zero")
    assert run.say("correction one six zero zero").state.phase is Phase.SECOND


def test_part_numbers_are_compared_letter_by_letter() -> None:
    run = at(*TO_PART, "kilo delta four seven", "second kilo delta four eight")
    assert StatementsDiffer("part", "KD47", "KD48", 1) in run.written
    run.say("kilo delta four seven", "second kilo delta four seven", "affirm")
    assert run.step == "lock"
