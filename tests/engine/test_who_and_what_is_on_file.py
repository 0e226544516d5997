"""The crew, the findings and what is on file about tools, each by itself."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from handsfree.engine.crew import Crew, needed, not_the_doer, speaker
from handsfree.engine.findings import Category, Finding, Findings
from handsfree.engine.on_file import NotUsable, OnFile, on_file
from handsfree.task.equipment import Equipment
from handsfree.task.expectations import IdentityExpected
from handsfree.task.read import read_task
from handsfree.task.roles import Role
from tests.engine.conversation import BOTTLE, heard
from tests.engine.people_task import PEOPLE, VALVE
from tests.engine.tools import LISTED, TO_NUMBER, TODAY, TOOLS
from tests.engine.tools import at as at_tools

TECHNICIAN, SECOND, INSPECTOR = Role.TECHNICIAN, Role.SECOND_PERSON, Role.INSPECTOR
NOON = datetime(2031, 5, 4, 12, tzinfo=UTC)
TASK, BARE = read_task(VALVE, "valve.yaml"), read_task(BOTTLE, "bottle.yaml")
STEP = BARE.steps[0]
BY_SECOND = STEP.model_copy(update={"by": SECOND})


def on_channel(channel: int | None) -> Role:
    return speaker(BY_SECOND, replace(heard("pin fitted"), channel=channel))


# The crew.


def test_whoever_takes_a_role_takes_it_alone_and_leaves_the_others_theirs() -> None:
    crew = Crew(PEOPLE).with_person(TECHNICIAN, "OA1").with_person(SECOND, "OA2")
    crew = crew.with_person(TECHNICIAN, "OA3")
    assert [crew.number_of(each) for each in Role] == ["OA3", "OA2", None, None]


def test_who_took_part_in_a_step_is_kept_once_and_by_step() -> None:
    crew = Crew(PEOPLE).with_person(TECHNICIAN, "OA1").with_person(SECOND, "OA2")
    for step, role in (("a", TECHNICIAN), ("a", TECHNICIAN), ("b", SECOND), ("b", INSPECTOR)):
        crew = crew.with_part_of(step, role)
    assert crew.took_part == (("a", "OA1"), ("b", "OA2"))  # nobody is known to be the inspector
    assert [crew.who_took_part_in(step) for step in "abc"] == [("OA1",), ("OA2",), ()]


def test_only_who_is_on_the_roster_is_known_by_their_number() -> None:
    crew = Crew(PEOPLE)
    assert [crew.person(each.staff_number) for each in PEOPLE] == list(PEOPLE)
    assert crew.person("OA1") is None


def test_the_day_is_counted_on_from_the_time_of_day_that_was_told() -> None:
    crew = Crew(clock=NOON, at=timedelta(hours=1))
    assert crew.today(timedelta(hours=12, minutes=59)) == date(2031, 5, 4)
    assert crew.today(timedelta(hours=13)) == date(2031, 5, 5)
    assert Crew().today(timedelta(0)) is None


def test_a_second_person_is_needed_where_one_reads_back_or_does_a_step() -> None:
    by = BOTTLE.replace("  - id: serial\n", "  - id: serial\n    by: second person\n")
    back = BOTTLE.replace("  - id: serial\n", "  - id: serial\n    read_back: true\n")
    assert needed(BARE) == (TECHNICIAN,)
    assert needed(read_task(by, "t.yaml")) == needed(read_task(back, "t.yaml"))
    assert needed(TASK) == (TECHNICIAN, SECOND)


def test_with_a_roster_all_are_asked_anew_and_without_nobody_is() -> None:
    here = ((TECHNICIAN, "OA1"),)
    anew = Crew(PEOPLE, here).asked_anew(TASK)
    assert (anew.present, anew.missing) == ((), (TECHNICIAN, SECOND))
    alone = Crew((), here).asked_anew(TASK)
    assert (alone.present, alone.missing) == ((), ())


def test_whose_word_it_was_is_told_by_the_headset_and_else_by_the_task() -> None:
    assert [on_channel(each) for each in (1, 2, 3, None)] == [TECHNICIAN, SECOND, INSPECTOR, SECOND]
    assert speaker(STEP, heard("pin fitted")) is TECHNICIAN


@pytest.mark.parametrize(
    ("by", "roster", "channel", "value", "wanted"),
    [
        (None, False, 2, False, None),  # nobody says who is who
        (None, True, None, False, None),  # no headset
        (None, True, 1, False, None),
        (None, True, 2, False, TECHNICIAN),
        (None, True, 2, True, None),  # read out, and affirmed by the technician
        (None, True, 3, True, TECHNICIAN),
        (SECOND, False, 1, True, SECOND),
        (SECOND, False, 2, False, None),
        (TECHNICIAN, False, 2, True, TECHNICIAN),
        (TECHNICIAN, True, 1, True, None),
    ],
)
def test_a_step_needs_the_word_of_who_does_it(
    by: Role | None, roster: bool, channel: int | None, value: bool, wanted: Role | None
) -> None:
    step, crew = STEP.model_copy(update={"by": by}), Crew(PEOPLE if roster else ())
    said = replace(heard("pin fitted"), channel=channel)
    assert not_the_doer(step, crew, said, states_value=value) is wanted


# Findings.


def test_each_finding_is_found_changed_and_closed_by_its_own_number() -> None:
    findings, first = Findings().with_new("a", Category.PART, "worn", "OA1")
    findings, second = findings.with_new("b", Category.OTHER, "", None)
    assert (first, second.number) == (Finding(1, "a", Category.PART, "worn", "OA1"), 2)
    assert [findings.numbered(each) for each in (1, 2, 3)] == [first, second, None]
    mended = replace(second, remark="bent")
    assert findings.changed(mended).open == (first, mended)
    assert findings.changed(replace(mended, number=3)).open == (first, second)
    assert findings.without(1).open == (second,)
    # The number of one that is closed is not given again.
    _, third = findings.without(2).with_new("c", Category.TOOL, "", None)
    assert third.number == 3


# Tools.

WRENCH = Equipment(name="Torque wrench", id="wrench", calibrated=True)
NUMBER = IdentityExpected(identity="wrench number", tool="wrench")
FILE = OnFile(today=TODAY, tool=WRENCH, equipment=LISTED)


@pytest.mark.parametrize(
    ("file", "characters", "why"),
    [
        (FILE, "TW31", None),
        (FILE, "KD1", NotUsable.NOT_LISTED),
        (FILE, "SO12", NotUsable.ANOTHER_TOOL),
        (FILE, "TW30", NotUsable.NOT_SERVICEABLE),
        (FILE, "TW29", NotUsable.NO_DATE),
        (FILE, "TW28", NotUsable.OUT_OF_DATE),
        (replace(FILE, today=None), "TW31", NotUsable.TODAY_UNKNOWN),
        (replace(FILE, tool=None), "KD1", None),
        (replace(FILE, equipment=None), "KD1", None),
        (replace(FILE, equipment=()), "TW31", NotUsable.NOT_LISTED),
        (
            replace(FILE, tool=WRENCH.model_copy(update={"calibrated": False}), today=None),
            "TW29",
            None,
        ),
    ],
)
def test_why_a_tool_is_not_used_is_told_by_the_first_that_speaks_against_it(
    file: OnFile, characters: str, why: NotUsable | None
) -> None:
    assert file.refusal(NUMBER, characters) is why


def test_only_a_number_that_the_task_lists_or_that_was_read_before_is_taken() -> None:
    listed = NUMBER.model_copy(update={"accept": ("TW-31",)})
    again = NUMBER.model_copy(update={"again": True})
    assert FILE.refusal(listed, "TW31") is None
    assert FILE.refusal(listed, "TW28") is NotUsable.NOT_NAMED
    assert FILE.refusal(again, "TW31") is NotUsable.NOT_THE_SAME
    assert replace(FILE, number="TW31").refusal(again, "TW31") is None


def test_the_dates_of_a_tool_are_those_of_the_task_and_of_its_own_line_in_the_list() -> None:
    dated = WRENCH.model_copy(update={"calibration_due": date(2027, 4, 1)})
    assert FILE.dates == ()
    assert replace(FILE, number="TW30").dates == (date(2030, 1, 1),)
    assert replace(FILE, number="TW29").dates == ()
    assert replace(FILE, number="TW30", tool=dated).dates == (date(2027, 4, 1), date(2030, 1, 1))
    assert replace(FILE, number="TW30", tool=None, equipment=None).dates == ()


def test_of_several_tools_that_of_the_step_is_looked_up() -> None:
    """Its entry in the task, not the first one."""
    first, second = (
        "{name: Torque wrench, id: wrench, calibrated: true}",
        "{name: Socket, id: socket}",
    )
    turned = TOOLS.replace(f"  - {first}\n  - {second}", f"  - {second}\n  - {first}")
    assert turned != TOOLS
    for text in (TOOLS, turned):
        run = at_tools(*TO_NUMBER, task=read_task(text, "tools.yaml"))
        tool = on_file(run.task, run.state).tool
        assert tool is not None
        assert tool.id == "wrench"
