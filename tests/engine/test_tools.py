"""Tools: their numbers and calibration dates are read out before they are used, and compared."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.engine.effects import Speech
from handsfree.engine.entries import (
    DateRead,
    IdentityRead,
    NotHeeded,
    Replaced,
    StepConfirmed,
    StepLeft,
)
from handsfree.engine.events import Started, TakenUp
from handsfree.engine.on_file import NotUsable
from handsfree.engine.phase import Phase
from handsfree.engine.waiting import Confirming
from handsfree.task.checks.calibration import refuse_expired_since
from handsfree.task.equipment_list import ListedTool
from handsfree.task.read import read_task
from handsfree.task.validity import DateVerdict
from handsfree.words.dates import speak_date
from handsfree.words.standard import StandardWord
from tests.engine.conversation import Conversation, heard
from tests.engine.tools import (
    LISTED,
    TASK,
    TO_BACK,
    TO_DATE,
    TO_NUMBER,
    TO_TIGHTEN,
    TODAY,
    TOOLS,
    at,
)
from tests.how_many import examples

SAID = "one five march two zero two seven"


def test_a_date_is_read_back_in_full_and_waits_for_affirm() -> None:
    run = at(*TO_DATE, "calibrated until one five march twenty twenty seven")
    assert run.did == [DateRead, Speech.READ_BACK, Speech.QUESTION]
    assert run.written == [DateRead("wrench-date", "2027-03-15", DateVerdict.IN_DATE, False)]
    assert run.step == "wrench-date"
    assert run.say("affirm").step == "tighten"


def test_the_last_day_of_calibration_still_counts_and_the_day_after_does_not() -> None:
    assert at(*TO_DATE, SAID, today=date(2027, 3, 15)).state.phase is Phase.CONFIRMING
    late = at(*TO_DATE, SAID, today=date(2027, 3, 16))
    assert late.did == [DateRead, Speech.READ_BACK, Speech.QUESTION]
    assert late.written == [DateRead("wrench-date", "2027-03-15", DateVerdict.OUT_OF_DATE, False)]


def test_an_expired_tool_leads_back_to_the_number_of_another_one_and_never_on() -> None:
    run = at(*TO_DATE, "one four march two zero two seven", "affirm")
    assert run.step == "wrench-number"
    assert isinstance(run.written[0], StepLeft)
    run.say("tango whiskey three two", "affirm")
    assert run.step == "wrench-date"
    run.say(SAID, "affirm")
    assert run.step == "tighten"
    assert dict(run.state.progress.identified) == {
        "wrench-number": "TW32",
        "wrench-date": "2027-03-15",
    }
    assert run.state.progress.left_undone == ()


def test_unable_stays_possible_with_an_expired_tool() -> None:
    run = at(*TO_DATE, "one four march two zero two seven")
    run.say("unable", "it ran out", "tool")
    assert run.state.phase is Phase.STANDING_BY
    assert run.step == "wrench-date"


def test_a_day_that_the_calendar_does_not_have_is_refused_with_the_reason() -> None:
    run = at(*TO_DATE, "three one february two zero two eight")
    assert run.did == [DateRead, Speech.READ_BACK, Speech.QUESTION]
    assert run.written == [DateRead("wrench-date", "2028-02-31", DateVerdict.NO_SUCH_DATE, False)]
    assert run.say("affirm").step == "wrench-date"


def test_a_run_that_passes_midnight_judges_by_the_new_day() -> None:
    run = Conversation(TASK)
    run.send(Started(today=TODAY, clock=datetime(2027, 3, 15, 23, 50, tzinfo=UTC)))
    run.finish_speaking().say(*TO_DATE)
    later = timedelta(minutes=20)
    run.send(heard(SAID, at=later))
    assert [each.verdict for each in run.written if isinstance(each, DateRead)] == [
        DateVerdict.OUT_OF_DATE
    ]


def test_figures_that_can_be_two_dates_are_asked_about() -> None:
    run = at(*TO_DATE, "zero five zero three two zero two eight")
    assert run.did == [NotHeeded, Speech.QUESTION]


def test_without_the_date_of_today_no_date_is_accepted() -> None:
    run = at(*TO_DATE, SAID, today=None)
    assert run.did == [DateRead, Speech.READ_BACK, Speech.QUESTION]
    assert run.say("affirm").step == "wrench-date"


def test_a_date_is_corrected_before_affirm_and_both_stay_on_the_record() -> None:
    run = at(*TO_DATE, "one six march two zero two seven")
    run.say("correction one seven march two zero two seven")
    assert run.written == [DateRead("wrench-date", "2027-03-17", DateVerdict.IN_DATE, True)]
    both = at(*TO_DATE, f"{SAID} correction one seven march two zero two seven")
    assert both.written[0] == Replaced("wrench-date", "2027-03-15")


def test_another_date_counts_only_after_correction() -> None:
    run = at(*TO_DATE, SAID, "one six march two zero two seven")
    assert run.state.pending == "2027-03-15"
    assert run.did == [NotHeeded, Speech.QUESTION]


def test_words_twice_repeats_the_whole_date_and_leaves_other_words_alone() -> None:
    run = at(*TO_DATE, SAID, "words twice")
    assert run.did == [Speech.READ_BACK, Speech.QUESTION]


@pytest.mark.parametrize(
    ("number", "refusal"),
    [
        ("tango whiskey three zero", NotUsable.NOT_SERVICEABLE),
        ("tango whiskey two eight", NotUsable.OUT_OF_DATE),
        ("tango whiskey two niner", NotUsable.NO_DATE),
        ("sierra oscar one two", NotUsable.ANOTHER_TOOL),
        ("kilo one", NotUsable.NOT_LISTED),
    ],
)
def test_a_number_that_the_equipment_list_refuses_does_not_go_on(
    number: str, refusal: NotUsable
) -> None:
    run = at(*TO_NUMBER, number, equipment=LISTED)
    assert run.did == [IdentityRead, Speech.READ_BACK, Speech.QUESTION]
    read = run.written[0]
    assert isinstance(read, IdentityRead)
    assert (read.accepted, read.reason) == (False, refusal.value)
    assert run.say("affirm").step == "wrench-number"
    assert run.say("tango whiskey three one", "affirm").step == "wrench-date"


def test_a_number_is_listed_as_out_of_date_only_from_the_day_after() -> None:
    run = at(*TO_NUMBER, "tango whiskey three one", equipment=LISTED, today=date(2027, 3, 16))
    assert "its calibration is out of date" in run.answer


def test_a_date_other_than_the_one_in_the_list_is_not_accepted_and_not_given_away() -> None:
    run = at(*TO_DATE, "one six march two zero two seven", equipment=LISTED)
    assert run.did == [DateRead, Speech.READ_BACK, Speech.QUESTION]
    assert run.say(SAID, "affirm").step == "tighten"


def test_the_date_in_the_task_is_compared_too() -> None:
    dated = TOOLS.replace("calibrated: true}", "calibrated: true, calibration_due: 2027-04-01}")
    task = read_task(dated, "t.yaml")
    assert "another date on file" in at(*TO_DATE, SAID, task=task).answer
    named = at(*TO_DATE, "one april two zero two seven", task=task)
    assert named.state.phase is Phase.CONFIRMING


def test_a_wrong_part_stops_the_task_with_its_verdict() -> None:
    task = read_task(TOOLS.replace("tool: wrench}\n  - id: wrench-date", _ACCEPT), "t.yaml")
    run = at(*TO_NUMBER, "tango whiskey three two", task=task)
    assert "The task does not name it." in run.answer
    assert run.say("affirm").step == "wrench-number"


_ACCEPT = "tool: wrench, accept: [TW-31]}\n  - id: wrench-date"


@settings(max_examples=examples(60))
@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)), st.dates(date(2000, 1, 1)))
def test_no_tool_is_used_after_its_last_day(due: date, today: date) -> None:
    """Held against the order of `datetime.date`."""
    run = at(*TO_DATE, speak_date(due.isoformat()), "affirm", today=today)
    assert (run.step == "tighten") == (due >= today)
    confirmed = [each for each in run.written if isinstance(each, StepConfirmed)]
    left = [each for each in run.written if isinstance(each, StepLeft)]
    assert bool(confirmed) != bool(left)


def test_what_was_affirmed_is_kept_as_a_date() -> None:
    assert at(*TO_TIGHTEN).state.progress.dates == {"wrench-date": TODAY}


ANYTHING = st.lists(
    st.sampled_from(
        sorted(
            {
                *TO_BACK,
                *(word.value for word in StandardWord),
                "one four march two zero two seven",
                "correction one six march two zero two seven",
                "three one february two zero two eight",
                "tango whiskey two eight",
                "one",
            }
        )
    ),
    max_size=60,
)


@settings(max_examples=examples(150))
@given(ANYTHING, st.sampled_from([None, LISTED]))
def test_no_conversation_uses_a_tool_that_was_not_found_in_calibration(
    said: list[str], equipment: tuple[ListedTool, ...] | None
) -> None:
    run = at(*TO_NUMBER, equipment=equipment)
    # The right words at the end, so that the tool is used in most examples.
    for words in (*said, "go ahead", *TO_BACK[len(TO_NUMBER) :], "two", "affirm"):
        if run.finished:
            break
        run.say(words)
        if not run.finished and TASK.index_of["tighten"] <= run.state.step:
            assert "wrench-number" in dict(run.state.progress.identified)
            assert run.state.progress.dates["wrench-date"] >= TODAY
    if run.finished:
        assert dict(run.state.counts) == {"tools": 0, "pins": 0}


def test_going_back_before_a_tool_was_read_forgets_its_number_and_its_date() -> None:
    run = at(*TO_TIGHTEN)
    assert dict(run.state.progress.identified).keys() == {"wrench-number", "wrench-date"}
    seen = dict(run.state.progress.seen)
    run.say("back to step two", "affirm")
    assert run.step == "wrench-number"
    assert not dict(run.state.progress.identified)
    assert seen["wrench"] == "wrench-date"
    assert "wrench" not in dict(run.state.progress.seen)


def test_the_number_of_another_tool_takes_the_date_of_the_one_before_with_it() -> None:
    """Else a run that goes on later would be refused for a tool that it has laid aside."""
    changed = "    uses: [wrench, socket]\n    then: {below: wrench-number}\n"
    task = read_task(TOOLS.replace("    uses: [wrench, socket]\n", changed), "tools.yaml")
    run = at(*TO_TIGHTEN, task=task)
    assert run.state.progress.dates == {"wrench-date": date(2027, 3, 15)}
    run.say("one five", "affirm", "tango whiskey three two", "affirm")
    assert run.step == "wrench-date"
    assert run.state.progress.dates == {}
    refuse_expired_since(task, run.state.step, run.state.progress.dates, date(2027, 3, 16))


def test_a_tool_that_is_read_on_a_later_day_is_held_against_that_day() -> None:
    run = at(*TO_DATE)
    run.send(TakenUp(timedelta(0), datetime(2027, 3, 16, tzinfo=UTC)))
    run.finish_speaking().say(SAID)
    assert "Out of date. Today is one six march" in run.answer
    assert isinstance(run.state.waits_for, Confirming)
    assert run.state.waits_for.outcome == "expired"


AGAIN = read_task(
    TOOLS.replace(
        "  - id: look\n",
        "  - id: wrench-again\n"
        "    instruction: Read the number of the wrench once more.\n"
        "    expect: {identity: wrench number, tool: wrench, again: true}\n"
        "  - id: look\n"
        "    uses: [wrench]\n",
    ).replace("    uses: [pins]\n", ""),
    "tools.yaml",
)
TO_AGAIN = (*TO_TIGHTEN, "two five", "affirm")


def test_the_same_number_read_again_goes_on_with_the_date_that_was_read() -> None:
    run = at(*TO_AGAIN, "tango whiskey three one", task=AGAIN)
    assert run.written == [IdentityRead("wrench-again", "TW31", True, "")]
    assert run.say("affirm").step == "look"
    assert dict(run.state.position.answered)["wrench-date"]


def test_another_number_read_again_is_not_accepted_and_the_right_one_is_not_said() -> None:
    run = at(*TO_AGAIN, "tango whiskey two eight", task=AGAIN)
    reason = NotUsable.NOT_THE_SAME.value
    assert run.written == [IdentityRead("wrench-again", "TW28", False, reason)]
    assert "It is not the number that was read before for this tool." in run.answer
    assert "three one" not in run.answer
    assert run.say("affirm").step == "wrench-again"


def test_after_another_tool_was_taken_its_own_number_is_the_one_to_read_again() -> None:
    """The first one was out of date, so its number is no longer that of the tool."""
    late = ("one four march two zero two seven", "affirm", "tango whiskey three two", "affirm")
    run = at(*TO_DATE, *late, SAID, "affirm", "two five", "affirm", task=AGAIN)
    assert run.step == "wrench-again"
    assert run.say("tango whiskey three one", "affirm").step == "wrench-again"
    assert run.say("tango whiskey three two", "affirm").step == "look"
