"""The run along its time, told by the record and not by a replay."""

from datetime import timedelta
from pathlib import Path

from tests.page.records import page_of_run


def lane(name: str, run: str, folder: Path) -> list[str]:
    page = page_of_run(run, folder)
    found = next(each for each in page.timeline.lanes if each.name == name)
    return [span.text for span in found.spans]


def test_each_person_has_a_lane_of_what_they_said(tmp_path: Path) -> None:
    page = page_of_run("perfect", tmp_path / "run")
    people = [each.name for each in page.timeline.lanes if each.kind == "voice"]
    assert people == [
        "Tarn Osk (OA417), technician",
        "Sefa Lund (OA522), second person",
        "Ines Varga (OA633), inspector",
    ]


def test_a_state_is_shown_from_its_change_on(tmp_path: Path) -> None:
    assert lane("safety pin", "perfect", tmp_path / "a") == ["removed", "fitted", "removed"]
    assert lane("valve", "perfect", tmp_path / "b") == ["closed", "open", "closed"]


def test_steps_follow_each_other_to_the_end_of_the_task(tmp_path: Path) -> None:
    steps = lane("step", "undone", tmp_path / "run")
    assert steps[:2] == ["1. fit-pin", "2. open-valve"]
    assert steps.count("7. torque") == 2
    assert steps[-1] == "10. remove-pin"


def test_waiting_is_shown_while_it_lasted(tmp_path: Path) -> None:
    page = page_of_run("deferral", tmp_path / "run")
    waits = next(each for each in page.timeline.lanes if each.kind == "wait")
    assert [span.end - span.begin for span in waits.spans] == [timedelta(minutes=6)]


def test_the_axis_has_a_few_times_and_more_for_a_close_look(tmp_path: Path) -> None:
    timeline = page_of_run("perfect", tmp_path / "run").timeline
    ticks = list(timeline.ticks())
    assert 2 <= sum(not is_fine for _, is_fine in ticks) <= 8
    assert all(timeline.begin < at <= timeline.begin + timeline.length for at, _ in ticks)
    assert [at for at, _ in ticks] == sorted(at for at, _ in ticks)


def test_a_place_never_lies_outside_the_picture(tmp_path: Path) -> None:
    timeline = page_of_run("perfect", tmp_path / "run").timeline
    assert timeline.place(timeline.begin - timedelta(hours=1)) == 0
    assert timeline.place(timeline.begin) == 0
    assert timeline.place(timeline.begin + timeline.length / 2) == 50
    assert timeline.place(timeline.begin + timeline.length * 2) == 100
