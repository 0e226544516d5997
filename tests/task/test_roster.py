"""Roster files: who may do what until when, and what is said of a file that does not tell it."""

from datetime import date

import pytest

from handsfree.task.read import read_task
from handsfree.task.roles import Role
from handsfree.task.roster import (
    Person,
    RosterFileError,
    RosterNeeded,
    read_roster,
    refuse_without_roster,
)
from tests.engine.people_task import TASK
from tests.shipped_tasks import FOLDER
from tests.shipped_tasks import ROSTER as SHIPPED

ROSTER = """\
people:
  - name: Tarn Osk
    staff_number: OA-417
    authorised: {technician: 2031-12-31, inspector: 2030-01-31}
  - name: Sefa Lund
    staff_number: OA-522
    authorised: {second person: 2031-12-31}
"""


def test_a_roster_tells_the_last_day_of_each_role() -> None:
    tarn, sefa = read_roster(ROSTER, "roster.yaml")
    assert (tarn.name, tarn.staff_number) == ("Tarn Osk", "OA417")
    assert tarn.authorised_until(Role.INSPECTOR) == date(2030, 1, 31)
    assert sefa == Person("Sefa Lund", "OA522", ((Role.SECOND_PERSON, date(2031, 12, 31)),))
    assert sefa.authorised_until(Role.TECHNICIAN) is None


@pytest.mark.parametrize(
    ("old", "new", "complaint"),
    [
        (
            "OA-522",
            "O-A417",
            "roster.yaml:6:5: the staff number of Sefa Lund is spoken like that "
            "of Tarn Osk. Give each person their own",
        ),
        (
            "OA-522",
            "oa-522",
            "roster.yaml:6:5: 'oa-522' is not written as it must be. "
            "Write capital letters, figures and hyphens, such as 'KD-2047'",
        ),
        (
            "2030-01-31",
            "31.1.2030",
            "roster.yaml:4:42: '31.1.2030' is not a date. "
            "Write year, month and day, such as 2031-05-04",
        ),
        (
            "inspector:",
            "manager:",
            "roster.yaml:4:42: 'manager' is not one of 'technician', "
            "'second person', 'inspector' or 'supervisor'. Write one of these",
        ),
        (
            "    staff_number: OA-522\n",
            "",
            "roster.yaml:5:5: key 'staff_number' is missing. Write it",
        ),
        (
            "name: Sefa Lund",
            "called: Sefa Lund",
            "roster.yaml:5:5: unknown key 'called'. Known here: name, staff_number, authorised",
        ),
        (
            "authorised: {second person: 2031-12-31}",
            "authorised: {}",
            "roster.yaml:7:5: 'authorised' has none, and needs 1. Add what is missing",
        ),
        (
            "people:",
            "persons:",
            "roster.yaml:1:1: unknown key 'persons'. Known here: people",
        ),
    ],
)
def test_a_mistake_is_named_with_its_place(old: str, new: str, complaint: str) -> None:
    with pytest.raises(RosterFileError) as error:
        read_roster(ROSTER.replace(old, new), "roster.yaml")
    assert complaint in str(error.value).splitlines()
    assert error.value.exit_code == 2


def test_what_is_no_yaml_is_told_as_a_mistake_of_the_roster() -> None:
    with pytest.raises(RosterFileError) as refused:
        read_roster("people: [", "roster.yaml")
    assert str(refused.value).startswith("roster.yaml:1:10: not YAML: expected the node content")
    assert str(refused.value).endswith("Mend the line or its indent")


def test_an_empty_file_is_told_as_an_empty_roster() -> None:
    with pytest.raises(RosterFileError) as refused:
        read_roster("", "roster.yaml")
    assert str(refused.value) == "roster.yaml:1:1: the file is empty. Write a roster in it"


def test_a_task_with_an_inspection_needs_a_roster() -> None:
    with pytest.raises(RosterNeeded) as refused:
        refuse_without_roster(TASK, ())
    assert str(refused.value) == (
        "valve: an inspector who is not the technician must look at lock, torque, and without a "
        "roster nobody can be told apart. Name one with --roster FILE."
    )
    assert refused.value.exit_code == 2
    refuse_without_roster(TASK, read_roster(ROSTER, "roster.yaml"))


def test_the_roster_that_comes_with_a_task_has_all_whom_it_needs_and_does_not_run_out() -> None:
    people = read_roster(SHIPPED.read_text(encoding="utf-8"), SHIPPED.name)
    name = "door-slide-refit.yaml"
    refuse_without_roster(read_task((FOLDER / name).read_text(encoding="utf-8"), name), people)
    until = [day for person in people for _, day in person.authorised]
    assert [day for day in until if day.year < 2070] == [date(2024, 11, 30)]  # on purpose
    may = {
        role: {
            each.name for each in people if (each.authorised_until(role) or date.min).year > 2070
        }
        for role in Role
    }
    assert all(may.values())
    assert len(may[Role.TECHNICIAN] | may[Role.SECOND_PERSON]) >= 2
    assert may[Role.INSPECTOR].isdisjoint(may[Role.TECHNICIAN] | may[Role.SECOND_PERSON])


def test_a_shipped_task_that_needs_an_inspector_is_refused_without_its_roster() -> None:
    name = "door-slide-refit.yaml"
    task = read_task((FOLDER / name).read_text(encoding="utf-8"), name)
    with pytest.raises(RosterNeeded, match="must look at connect-cable, and without a roster"):
        refuse_without_roster(task, ())
