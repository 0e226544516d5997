"""The script does the shipped task: held here by words alone, with nothing misheard."""

import re
from datetime import timedelta

import pytest

from demo.play import EQUIPMENT, ROSTER, TASK, TODAY
from demo.script import SCRIPT
from handsfree.engine.effects import Say
from handsfree.engine.entries import (
    Entry,
    FirstStated,
    InspectionPassed,
    PersonIdentified,
    SecondStated,
    StatementsDiffer,
)
from handsfree.engine.events import Started
from handsfree.engine.phase import Phase
from handsfree.environment import ROOT
from handsfree.task.equipment_list import read_equipment
from handsfree.task.read import read_task
from handsfree.task.roles import Headset, Role
from handsfree.task.roster import read_roster
from handsfree.words.heard import Heard
from tests.engine.conversation import Conversation

NOW = timedelta(0)


class Told(Conversation):
    """The whole script, with what was written and answered after each line."""

    def __init__(self) -> None:
        super().__init__(read_task(TASK.read_text(encoding="utf-8"), TASK.name))
        equipment = read_equipment(EQUIPMENT.read_bytes(), EQUIPMENT.name)
        people = read_roster(ROSTER.read_text(encoding="utf-8"), ROSTER.name)
        self.send(Started((), (), TODAY.date(), equipment, people, NOW, TODAY))
        self.finish_speaking()
        self.turns: list[tuple[str, list[Entry], str]] = []
        for line in SCRIPT:
            channel = line.headset.channel
            self.send(Heard(tuple(line.words.split()), 1.0, (), (), NOW, NOW, channel))
            self.finish_speaking()
            self.turns.append((line.words, self.written, self.answer))

    @property
    def entries(self) -> list[Entry]:
        """All that was written, in its order."""
        return [each for _, written, _ in self.turns for each in written]


@pytest.fixture(scope="module")
def told() -> Told:
    return Told()


@pytest.mark.slow
def test_the_script_does_the_task_to_its_end(told: Told) -> None:
    assert told.state.phase is Phase.FINISHED
    assert not told.state.progress.left_undone
    assert not told.state.findings.open


def test_two_people_and_an_inspector_say_who_they_are(told: Told) -> None:
    assert [each for each in told.entries if isinstance(each, PersonIdentified)] == [
        PersonIdentified(Role.TECHNICIAN, "OA417", "Tarn Osk"),
        PersonIdentified(Role.SECOND_PERSON, "OA608", "Sefa Orrin"),
        PersonIdentified(Role.INSPECTOR, "OA744", "Enna Vesk"),
    ]
    passed = [each for each in told.entries if isinstance(each, InspectionPassed)]
    assert passed == [InspectionPassed("connect-cable", "OA744")]


def test_two_values_inside_their_limits_differ_once_and_both_read_again(told: Told) -> None:
    differ = [each for each in told.entries if isinstance(each, StatementsDiffer)]
    assert differ == [StatementsDiffer("bottle-pressure", "2980", "2960", 1)]
    stated = [
        (each.figures, each.by)
        for each in told.entries
        if isinstance(each, FirstStated | SecondStated)
    ]
    assert stated == [
        ("2980", "OA417"),
        ("2960", "OA608"),
        ("2960", "OA417"),
        ("2960", "OA608"),
    ]


def test_what_the_first_one_read_is_not_said_before_the_second_one_has(told: Told) -> None:
    answers = [
        answer
        for _, written, answer in told.turns
        if any(isinstance(each, FirstStated | StatementsDiffer) for each in written)
    ]
    assert len(answers) == 3
    for answer in answers:
        assert "two niner" not in answer.lower()


def test_the_readme_shows_only_what_the_demo_says(told: Told) -> None:
    """All but what is misheard on purpose, and the scores: those are of the sound."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = readme.split("A part of what it prints:\n\n```text\n")[1].split("```")[0]
    # A hanging indent belongs to the line above.
    lines = [
        " ".join(line.split())
        for line in re.sub(r"\n {14}(?!\[)", " ", shown).splitlines()
        if line != "..." and not line.startswith(" ")
    ]
    spoken = {f"handsfree {each.text}" for each in told.effects if isinstance(each, Say)}
    said = {f"{line.headset.role.value} {line.words}" for line in SCRIPT}
    strange = [each for each in lines if re.sub(r" \d\.\d\d$", "", each) not in spoken | said]
    assert strange == [
        "second person (nothing that fits) 0.00",
        "second person five 0.09",
        "handsfree Say again.",
    ]
    assert len(lines) > 30


def test_each_person_of_the_demo_speaks() -> None:
    assert {line.headset for line in SCRIPT} == set(Headset)
