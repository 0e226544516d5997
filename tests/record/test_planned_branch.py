"""A branch that the task plans for is work done: its value is affirmed, and nothing stays open."""

from pathlib import Path

import pytest

from handsfree.record.readings import readings
from handsfree.record.summary import summarise
from handsfree.record.summary_text import as_text
from handsfree.record.verify import verify
from handsfree.task.read import read_task
from tests.record.runs import entries_of, hold

WORN = """\
task: worn
title: Look at a brake
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: brake}
steps:
  - id: wear-pin
    instruction: Measure the wear pin.
    expect: {reading: length, unit: mm, resolution: 0.1, limits: {min: 2.0, max: 9.5}}
    then: {inside: end, below: replace}
  - id: replace
    instruction: Replace the brake.
    expect: {confirm: brake is new}
"""
SAID = ("one decimal five", "affirm", "brake is new")


def summary(folder: Path, text: str) -> str:
    task = read_task(text, "worn.yaml")
    return as_text(summarise(task, entries_of(folder), verify(folder), "head"))


def test_its_value_is_affirmed_in_the_table_and_told_in_the_summary(tmp_path: Path) -> None:
    hold(tmp_path / "run", SAID, text=WORN)
    (row,) = readings(entries_of(tmp_path / "run"))
    assert (row.value, row.verdict, row.affirmed) == ("1.5", "below minimum", "yes")
    told = summary(tmp_path / "run", WORN)
    assert "- wear-pin: 1.5 mm, below minimum" in told
    assert "every step of the way taken is done (2)" in told
    assert "not done" not in told


@pytest.mark.parametrize(
    ("leads", "said"),
    [("{go: replace, planned: false}", SAID), ("end", SAID[:2])],
)
def test_what_is_not_planned_is_not_done(tmp_path: Path, leads: str, said: tuple[str, ...]) -> None:
    text = WORN.replace("inside: end, below: replace", f"inside: replace, below: {leads}")
    hold(tmp_path / "run", said, text=text)
    told = summary(tmp_path / "run", text)
    assert "## Steps that are not done\n\n- wear-pin: below" in told
    assert "- wear-pin: 1.5 mm, below minimum" in told


def test_a_drop_is_told_as_what_was_judged(tmp_path: Path) -> None:
    text = WORN.replace(
        "    then: {inside: end, below: replace}\n",
        "  - id: again\n    instruction: Measure it again.\n    expect: {reading: length, "
        "unit: mm, resolution: 0.1, limits: {of: {difference: [wear-pin, this]}, max: 1}}\n",
    )
    hold(tmp_path / "run", ("four decimal five", "affirm", "three decimal two"), text=text)
    *_, row = readings(entries_of(tmp_path / "run"))
    assert (row.verdict, row.judged, row.lowest) == ("above maximum", "difference 1.3", "7/2")
