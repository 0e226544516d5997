"""The table of steps: one row for each time that one was done, which people and programs join."""

import csv
import json
from decimal import Decimal
from fractions import Fraction
from io import StringIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.record.export import export
from handsfree.record.limits_told import highest_told, lowest_told
from handsfree.record.redact import redact
from handsfree.record.task_file import read_task_of
from handsfree.record.verify import verify
from tests.cli.test_equipment import SAID as WITH_TOOLS
from tests.cli.test_equipment import whole
from tests.engine.conversation import BOTTLE
from tests.record.runs import KEYS, START, hold
from tests.record.six_runs import RUNS
from tests.record.test_resume import LONG_SAID

# What the table must let a person ask, by the headings that answer it.
HEADINGS = (
    "record review aircraft component task revision variant step text ended_as valid began ended "
    "work_s stand_by_s attempts person affirmed_by heard source second_person second_value "
    "second_clip inspector value unit lowest highest verdict tool tool_serial tool_due "
    "lowest_score clip"
)


def rows_of(folder: Path, to: Path) -> list[dict[str, str]]:
    export(folder, read_task_of(folder), verify(folder), to)
    text = (to / "steps.csv").read_bytes().decode()
    return list(csv.DictReader(StringIO(text, newline="")))


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("rows")
    RUNS["undone"](made / "undone")
    rows_of(made / "undone", made / "out")
    return made / "out"


@pytest.fixture(scope="module")
def rows(exported: Path) -> list[dict[str, str]]:
    text = (exported / "steps.csv").read_bytes().decode()
    return list(csv.DictReader(StringIO(text, newline="")))


def test_the_headings_are_as_people_rely_on_them(exported: Path) -> None:
    assert (exported / "steps.csv").read_text().splitlines()[0].split(",") == HEADINGS.split()


def test_each_row_says_which_record_aircraft_task_and_revision_it_is_of(
    rows: list[dict[str, str]],
) -> None:
    keys = ("record", "aircraft", "component", "task", "revision")
    assert {tuple(row[key] for key in keys) for row in rows} == {
        ("undone", "Any 1", "valve", "valve", "1")
    }


def test_a_step_that_was_undone_and_done_again_is_two_rows(rows: list[dict[str, str]]) -> None:
    torque = [row for row in rows if row["step"] == "torque"]
    assert [(row["value"], row["valid"], row["ended_as"]) for row in torque] == [
        ("15", "undone", "done"),
        ("16", "valid", "done"),
    ]
    assert {row["valid"] for row in rows if row["step"] != "torque"} == {"valid"}


def test_a_row_has_times_people_values_and_sound(rows: list[dict[str, str]]) -> None:
    pressure = next(row for row in rows if row["step"] == "pressure")
    second_clip, clip = pressure.pop("second_clip"), pressure.pop("clip")
    assert Path(clip).read_bytes() != Path(second_clip).read_bytes()
    told = {name: each for name, each in pressure.items() if each}
    assert told == {
        "record": "undone",
        "aircraft": "Any 1",
        "component": "valve",
        "task": "valve",
        "revision": "1",
        "step": "pressure",
        "text": "Read the pressure.",
        "ended_as": "done",
        "valid": "valid",
        "began": "2031-05-04T22:36:00+02:00",
        "ended": "2031-05-04T22:39:00+02:00",
        "work_s": "180.0",
        "stand_by_s": "0.0",
        "attempts": "1",
        "person": "Tarn Osk (OA417)",
        "affirmed_by": "Tarn Osk (OA417)",
        "heard": "by voice",
        "source": "technician",
        "second_person": "Sefa Lund (OA522)",
        "second_value": "1500",
        "value": "1500",
        "unit": "psi",
        "lowest": "1000",
        "highest": "2000",
        "verdict": "inside limits",
        "lowest_score": "0.97",
    }
    assert next(row for row in rows if row["step"] == "lock")["inspector"] == "Ines Varga (OA633)"


def test_the_same_rows_are_in_the_json_with_exact_limits(exported: Path) -> None:
    steps = json.loads((exported / "record.json").read_text())["steps"]
    assert [each["step"] for each in steps] == [
        row["step"] for row in csv.DictReader((exported / "steps.csv").open())
    ]
    assert list(steps[0]) == HEADINGS.split()
    assert (steps[0]["value"], steps[0]["work_s"], steps[0]["attempts"]) == (None, 60.0, 1)


def test_limits_that_have_no_last_decimal_are_exact_in_the_json(tmp_path: Path) -> None:
    hold(tmp_path / "run", LONG_SAID, text=BOTTLE.replace("min: 3200", "min: 3201"))
    row = next(
        row for row in rows_of(tmp_path / "run", tmp_path / "out") if row["step"] == "pressure"
    )
    whole = json.loads((tmp_path / "out" / "record.json").read_text())["steps"]
    exact = Fraction(next(each["lowest"] for each in whole if each["step"] == "pressure"))
    assert exact == 2500 + Fraction(34 * 701, 70)
    assert row["lowest"] == "2841"


def test_a_deferral_says_by_whom_and_a_removed_sound_that_it_is(tmp_path: Path) -> None:
    RUNS["deferral"](tmp_path / "run")
    redact(tmp_path / "run", "asked", KEYS, lambda: START, ())
    rows = {row["step"]: row for row in rows_of(tmp_path / "run", tmp_path / "out")}
    assert rows["cover"]["ended_as"] == ("deferred by maintenance control: olan ahl, reference R31")
    assert rows["cover"]["value"] == ""
    assert rows["fit-pin"]["clip"] == "removed"


def test_a_row_names_the_tool_with_its_serial_and_its_last_day(tmp_path: Path) -> None:
    rows = rows_of(whole(tmp_path, *WITH_TOOLS), tmp_path / "out")
    used = [row for row in rows if row["tool"]]
    assert used
    assert {(row["tool"], row["tool_serial"], row["tool_due"]) for row in used} == {
        ("Torque wrench; Socket", "TW31; -", "2071-03-15; -"),
    }


STEPS = st.sampled_from(
    [Decimal("0.001"), Decimal("0.05"), Decimal("0.25"), Decimal(1), Decimal(5)]
)
LIMITS = st.fractions(min_value=-5000, max_value=5000, max_denominator=997)


@given(LIMITS, STEPS, st.integers(-20_000, 20_000))
def test_a_value_on_the_scale_is_inside_what_is_told_exactly_where_it_is_inside(
    limit: Fraction, step: Decimal, steps: int
) -> None:
    value = Fraction(step) * steps
    lowest = Fraction(lowest_told(str(limit), step))
    highest = Fraction(highest_told(str(limit), step))
    assert (value >= lowest) == (value >= limit)
    assert (value <= highest) == (value <= limit)
    assert highest <= limit <= lowest  # inward, never outward


@given(LIMITS, STEPS)
def test_a_limit_is_told_in_few_figures(limit: Fraction, step: Decimal) -> None:
    told = lowest_told(str(limit), step)
    assert "/" not in told
    assert len(told.partition(".")[2]) <= 4


@pytest.mark.parametrize("limit", ["", "1/0", "1e999999999", "9" * 5000, "=1+1", "x", None])
def test_what_is_no_limit_is_not_told_as_one(limit: str | None) -> None:
    assert lowest_told(limit, Decimal(1)) == ""
