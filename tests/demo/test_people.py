"""How the people of the demo behave when they are not understood."""

from datetime import timedelta

import numpy as np
import pytest

from demo import people as demo_people
from demo.noise import RATE_HZ, Sound
from demo.people import People
from demo.script import DROWNED_SNR_DB, Line
from handsfree.engine.entries import (
    Entry,
    InspectionCalled,
    NotActedOn,
    NotHeeded,
    PersonIdentified,
    StatementsDiffer,
    StepBegun,
    StoodBy,
    WentOn,
)
from handsfree.task.roles import Headset, Role
from handsfree.words.phrases import BUILT_IN
from tests.hearing.said import Said

DOUBT = NotHeeded("s", (), NotActedOn.DOUBTFUL)
WAITS = StoodBy("s", "3 doubtful hearings")
ASKED_ANEW: dict[str, Entry] = {
    "a step": StepBegun("s"),
    "a person": PersonIdentified(Role.TECHNICIAN, "OA417", "Tarn Osk"),
    "an inspection": InspectionCalled("s", "OA417"),
    "a difference": StatementsDiffer("s", "1", "2", 1),
}


def tone(line: Line) -> Sound:
    """A sound whose length tells what was said: no two utterances here are equally long."""
    return np.sin(np.arange(RATE_HZ // 10 + len(line.words), dtype=np.float32))


@pytest.fixture(autouse=True)
def _without_the_voice(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(demo_people, "voice_line", tone)


def technician(*utterances: str) -> tuple[Line, ...]:
    return tuple(Line(Headset.TECHNICIAN, words) for words in utterances)


def at_the_door(*lines: Line) -> People:
    said = tuple((line, tone(line)) for line in lines)
    return People(said, Said("", 0.0), lambda: timedelta(0), np.random.default_rng(1))


def sound_of(people: People) -> Sound:
    """What comes next, with its noise."""
    spoke = people.hear(BUILT_IN["number"])
    assert spoke is not None
    assert spoke.audio is not None
    return spoke.audio.samples


def says(people: People, *known: str) -> str:
    """Which one of the `known` utterances comes next."""
    length = len(sound_of(people))
    lines = technician(*known, "go ahead")
    (words,) = (each.words for each in lines if len(tone(each)) == length)
    return words


@pytest.mark.parametrize("headset", Headset)
def test_each_is_heard_from_a_headset_that_the_name_of_the_clip_tells_too(headset: Headset) -> None:
    spoke = at_the_door(Line(headset, "affirm")).hear(BUILT_IN["number"])
    assert spoke is not None
    assert spoke.heard.channel == headset.channel
    assert Headset.of_clip(spoke.source) is headset


def test_a_doubtful_line_is_said_again_and_no_longer_drowned() -> None:
    drowned_line = Line(Headset.SECOND_PERSON, "one two", DROWNED_SNR_DB)
    people = at_the_door(drowned_line, *technician("affirm"))
    drowned = sound_of(people)
    people.hear_decision(DOUBT)
    again = sound_of(people)
    voice = tone(drowned_line)
    assert np.corrcoef(voice, drowned)[0, 1] < 0.5
    assert np.corrcoef(voice, again)[0, 1] > 0.9
    assert says(people, "one two", "affirm") == "affirm"


@pytest.mark.parametrize("asked", ASKED_ANEW)
def test_told_that_the_step_waits_they_begin_again_where_they_were_asked_last(asked: str) -> None:
    known = ("begun", "the first", "the second", "and the next")
    people = at_the_door(*technician(*known))
    assert says(people, *known) == "begun"
    people.hear_decision(ASKED_ANEW[asked])
    assert [says(people, *known) for _ in range(2)] == ["the first", "the second"]
    people.hear_decision(DOUBT)
    people.hear_decision(WAITS)
    assert says(people, *known) == "go ahead"
    people.hear_decision(WentOn("s"))
    assert [says(people, *known) for _ in range(3)] == ["the first", "the second", "and the next"]


def test_who_begins_again_twice_does_not_say_go_ahead_out_of_its_place() -> None:
    """Where nobody was identified yet no step begins after "go ahead", and it stayed in the way."""
    known = ("number", "affirm it")
    people = at_the_door(*technician(*known))
    for _ in range(2):
        assert says(people, *known) == "number"
        people.hear_decision(DOUBT)
        people.hear_decision(WAITS)
        assert says(people, *known) == "go ahead"
        people.hear_decision(WentOn("s"))
    assert [says(people, *known) for _ in range(2)] == ["number", "affirm it"]


def test_after_five_times_they_give_up() -> None:
    people = at_the_door(*technician("number"))
    for _ in range(5):
        assert says(people, "number") == "number"
        people.hear_decision(DOUBT)
        people.hear_decision(WAITS)
        assert says(people, "number") == "go ahead"
        people.hear_decision(WentOn("s"))
    assert says(people, "number") == "number"
    people.hear_decision(DOUBT)
    people.hear_decision(WAITS)
    assert says(people, "number") == "number"  # into the waiting task
    assert people.hear(BUILT_IN["number"]) is None
