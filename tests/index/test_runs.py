"""Runs side by side: which took longest and where, held against NumPy and the standard library."""

import statistics
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from handsfree.index import runs
from handsfree.index.drawing import BOX_WIDTH, boxes, course
from handsfree.index.filters import Filters
from handsfree.index.runs import Compared, Course, Point, Spread, compared
from handsfree.index.store import Store
from handsfree.index.tables import ReadingRow, RecordRow, Row, SaidRow, Stands, StepRow
from tests.index.shelf import looked
from tests.record.six_runs import RUNS, summary_of

RECORD = RecordRow("", b"", "", "", Stands.FINISHED.value, Stands.FINISHED.rank, "", task="t")


@pytest.fixture(scope="module")
def found(ten: Path, tmp_path_factory: pytest.TempPathFactory) -> Compared:
    with Store(tmp_path_factory.mktemp("index") / "index") as store:
        looked(store, ten)
        with store.cursor() as ask:
            return compared(ask, Filters(task="door-slide-refit", revision="5"))


@pytest.fixture(scope="module")
def times(rows_of_ten: dict[str, tuple[Row, ...]]) -> dict[str, dict[str, float]]:
    """By step and run the seconds of work, from the rows and without the index."""
    taken: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for name, rows in rows_of_ten.items():
        for each in rows:
            if isinstance(each, StepRow) and each.ended_as != "open":
                taken[each.step][name] += each.work_s
    return taken


def test_which_of_ten_runs_took_longest_and_at_which_step(
    found: Compared, times: dict[str, dict[str, float]]
) -> None:
    longest = found.runs[0]
    assert (longest["name"], longest["slow_step"]) == ("run-3", "right-bolt")
    assert longest["slow_s"] == pytest.approx(times["right-bolt"]["run-3"])
    assert longest["slow_middle"] == pytest.approx(statistics.median(times["right-bolt"].values()))
    for run in found.runs:
        over = {
            step: of[run["name"]] - statistics.median(of.values())
            for step, of in times.items()
            if run["name"] in of
        }
        assert over[run["slow_step"]] == pytest.approx(max(over.values()))


def test_boxes_are_those_of_numpy(found: Compared, times: dict[str, dict[str, float]]) -> None:
    assert {each.step for each in found.spreads} == set(times)
    for each in found.spreads:
        values = np.array(list(times[each.step].values()))
        low, middle, high = np.percentile(values, [25, 50, 75])
        assert (each.low, each.middle, each.high) == pytest.approx((low, middle, high))
        whisker = 1.5 * (high - low)
        assert each.most == pytest.approx(max(values[values <= high + whisker]))
        assert each.least == pytest.approx(min(values[values >= low - whisker]))
        beyond = sorted(values[values > high + whisker], reverse=True)[: runs.MOST_FAR_OUT]
        assert [seconds for seconds, _, _ in each.far_out] == pytest.approx(beyond)
        assert each.longest == pytest.approx(max(values))


def test_how_often_was_asked_again_is_counted_by_step(
    rows_of_ten: dict[str, tuple[Row, ...]], found: Compared
) -> None:
    counted: dict[str, int] = defaultdict(int)
    for rows in rows_of_ten.values():
        for each in rows:
            if isinstance(each, StepRow):
                counted[each.step] += each.asked_again
    assert {each.step: each.asked_again for each in found.spreads} == counted
    assert sum(counted.values()) > 0


def test_steps_stand_in_the_order_of_the_task(found: Compared) -> None:
    places = [each.place for each in found.spreads]
    assert places == sorted(places)


def test_what_is_misheard_is_told_with_what_was_meant(
    rows_of_ten: dict[str, tuple[Row, ...]], found: Compared
) -> None:
    said = [
        (each.step, each.meant, each.asked_again)
        for rows in rows_of_ten.values()
        for each in rows
        if isinstance(each, SaidRow) and each.meant
    ]
    for row in found.misheard:
        same = [
            asked for step, meant, asked in said if (step, meant) == (row["step"], row["meant"])
        ]
        assert (row["times"], row["asked"]) == (len(same), sum(same))
    asked = [row["asked"] + row["back"] for row in found.misheard]
    assert asked == sorted(asked, reverse=True)
    assert asked[0] > 0


@pytest.fixture
def undone(tmp_path: Path) -> Iterator[Compared]:
    RUNS["undone"](tmp_path / "root" / "run")
    with Store(tmp_path / "index") as store:
        looked(store, tmp_path / "root")
        with store.cursor() as ask:
            yield compared(ask, Filters(task="valve"))


def test_a_value_that_was_undone_is_marked_and_not_counted(undone: Compared) -> None:
    [torque] = [each for each in undone.courses if each.step == "torque"]
    assert [(each.value, each.is_undone) for each in torque.points] == [("15", True), ("16", False)]
    assert (torque.count, torque.outside) == (2, 0)
    assert {(each.lowest, each.highest) for each in torque.points} == {("10", "20")}


def test_a_value_outside_that_was_undone_is_not_counted_as_outside(tmp_path: Path) -> None:
    def value(entry: int, undone: bool) -> ReadingRow:
        at, day = "2031-03-01T08:00:00.000+00:00", "2031-03-01"
        limits, drawn = ("10", "20"), (9.0, 10.0, 20.0)
        return ReadingRow("a", entry, at, day, "pin", 1, "force", "9", "N", *limits,
                          "below minimum", False, undone, "T. Person", *drawn)  # fmt: skip

    with Store(tmp_path / "index") as store:
        store.replace([], [*rows_of_run("a", pin=60), value(1, True), value(2, False)])
        with store.cursor() as ask:
            [course_of_pin] = compared(ask, Filters()).courses
    assert (course_of_pin.count, course_of_pin.outside) == (2, 1)
    assert [each.is_inside for each in course_of_pin.points] == [False, False]


def test_time_at_work_that_was_undone_was_spent_all_the_same(
    undone: Compared, tmp_path: Path
) -> None:
    passes = summary_of(tmp_path / "root" / "run").passes
    both = [each.work.total_seconds() for each in passes if each.step == "torque"]
    assert len(both) == 2
    [torque] = [each for each in undone.spreads if each.step == "torque"]
    assert torque.longest == sum(both)


def value_of(run: str, drawn: float | None, unit: str = "N", quantity: str = "force") -> ReadingRow:
    at, day = "2031-03-01T08:00:00.000+00:00", "2031-03-01"
    return ReadingRow(run, 1, at, day, "pin", 1, quantity, str(drawn), unit, "10", "20",
                      "inside", True, False, "T. Person", drawn, 10.0, 20.0)  # fmt: skip


def test_a_value_too_large_for_a_picture_is_counted_and_not_drawn(tmp_path: Path) -> None:
    with Store(tmp_path / "index") as store:
        store.replace([], [*rows_of_run("a", pin=60), value_of("a", 15.0), value_of("a", None)])
        with store.cursor() as ask:
            [of_pin] = compared(ask, Filters()).courses
    assert (of_pin.count, of_pin.not_drawn, len(of_pin.points)) == (2, 1, 1)
    assert len(course(of_pin).marks) == 1


def test_what_one_record_makes_up_does_not_fill_the_page(tmp_path: Path) -> None:
    """Each reading would be a question to the index, and a picture."""
    made_up = [value_of("b", 15.0, f"unit-{each}") for each in range(2 * runs.MOST_COURSES)]
    steps: dict[str, float] = {f"made-up-{each}": 1.0 for each in range(runs.MOST_STEPS)}
    rows: list[Row] = [*rows_of_run("a", pin=60), *rows_of_run("b", pin=60, **steps), *made_up]
    honest: list[Row] = [value_of("a", 15.0, "zz"), value_of("b", 15.0, "zz")]
    with Store(tmp_path / "index") as store:
        store.replace([], [*rows, *honest])
        with store.cursor() as ask:
            found = compared(ask, Filters())
    assert (found.readings, len(found.courses)) == (2 * runs.MOST_COURSES + 1, runs.MOST_COURSES)
    assert "zz" in {each.unit for each in found.courses}
    assert (found.steps, len(found.spreads)) == (runs.MOST_STEPS + 1, runs.MOST_STEPS)
    assert "pin" in {each.step for each in found.spreads}


def rows_of_run(name: str, **seconds: float) -> list[Row]:
    record = replace(RECORD, id=name, name=name, work_s=sum(seconds.values()))
    steps: list[Row] = [
        StepRow(name, n, step, n + 1, "", 0, "", "", took, 0, 1, 0, "done", False, "", None)
        for n, (step, took) in enumerate(seconds.items())
    ]
    return [record, *steps]


def test_a_trial_did_no_work_and_is_left_out(tmp_path: Path) -> None:
    with Store(tmp_path / "index") as store:
        trial = replace(RECORD, id="b", stands=Stands.TRIAL.value, rank=Stands.TRIAL.rank)
        store.replace([], [*rows_of_run("a", pin=60), trial])
        with store.cursor() as ask:
            assert [each["name"] for each in compared(ask, Filters()).runs] == ["a"]


def test_a_run_that_does_not_verify_is_counted_and_told(tmp_path: Path) -> None:
    with Store(tmp_path / "index") as store:
        doubtful = replace(RECORD, id="b", name="b", rank=Stands.NOT_AS_WRITTEN.rank)
        store.replace([], [*rows_of_run("a", pin=60), doubtful])
        with store.cursor() as ask:
            found = compared(ask, Filters())
    assert (found.count, found.not_sound) == (2, 1)


SPREAD = Spread("pin", 1, "", 5, 10, 20, 30, 40, 50, (), 50, "", "", 0, 0, 0, "", "")


def test_a_box_plot_goes_from_left_to_right_on_one_scale() -> None:
    drawn = boxes([SPREAD, replace(SPREAD, most=100, longest=100)])
    first, second = drawn.boxes
    assert 0 < first.least < first.low < first.middle < first.high < first.most < BOX_WIDTH
    assert second.most == BOX_WIDTH
    assert first.middle == second.middle
    assert drawn.ticks[0] == (0, 0)
    assert 3 <= len(drawn.ticks) <= 6


def test_what_is_far_out_does_not_squeeze_all_else() -> None:
    far = replace(SPREAD, longest=5000, far_out=((5000, "a", "run"), (70, "b", "run")))
    [box] = boxes([far]).boxes
    assert [(each.x, each.beyond) for each in box.far_out] == [
        (BOX_WIDTH, True),
        (pytest.approx(70 / 75 * BOX_WIDTH, abs=0.1), False),
    ]


def point(utc: str, value: float, low: float | None, high: float | None) -> Point:
    return Point(
        utc[:10], utc, str(value), value, "", "", low, high, True, False, "a", "run", 1, ""
    )


def test_a_reading_over_time_lies_between_its_limits_and_later_is_right() -> None:
    points = (
        point("2031-03-01T08:00:00.000+00:00", 15, 10, 20),
        point("2031-03-02T08:00:00.000+00:00", 18, 12, None),
        point("2031-03-05T08:00:00.000+00:00", 11, None, 20),
    )
    first, second, third = course(Course("torque", "torque", "N.m", points, 3, 0)).marks
    assert first.lowest_y is not None
    assert first.highest_y is not None
    assert first.highest_y < first.y < first.lowest_y  # up is less
    assert second.highest_y is None
    assert third.lowest_y is None
    assert (second.x - first.x) * 3 == pytest.approx(third.x - second.x, abs=0.5)


@pytest.mark.parametrize("value", [0.0, 15.0, -3.5])
def test_one_value_alone_can_be_drawn(value: float) -> None:
    of = Course("a", "b", "c", (point("2031-03-01T08:00:00.000+00:00", value, None, None),), 1, 0)
    drawn = course(of)
    assert drawn.ticks
    assert len(drawn.marks) == 1
