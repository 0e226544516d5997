"""The README lists every unit as it is written and said."""

from pathlib import Path

import pytest

from handsfree.authoring.schema import task_schema
from handsfree.words.units import QUANTITIES, said_as, units_of

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_the_readme_has_the_units_of_each_quantity_as_they_are_said(quantity: str) -> None:
    units = (
        f"`{unit.symbol}` " + ", ".join(f'"{said}"' for said in said_as(unit.symbol))
        for unit in units_of(quantity)
    )
    assert f"| {quantity} | {'; '.join(units)} |" in README


def test_the_schema_tells_an_editor_how_each_unit_is_said() -> None:
    unit = task_schema()["$defs"]["ReadingExpected"]["properties"]["unit"]
    told = {each["const"]: each["description"] for each in unit["oneOf"]}
    assert told["lbf.in"] == (
        'torque; said as "inch pounds", "inch pound", "pound inches", "pound force inches", '
        '"inch pounds force"'
    )
    assert 'said as "p s i", "psi", "pounds per square inch", "pounds"' in told["psi"]
