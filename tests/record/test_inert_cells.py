"""A table is read in a spreadsheet, which carries out a cell that looks like a formula."""

import csv
import io
from dataclasses import fields, replace

import pytest

from handsfree.record.readings import LoggedReading, as_csv

EMPTY = LoggedReading(**{each.name: "" for each in fields(LoggedReading)} | {"entry": 1})  # type: ignore[arg-type]


def cell(unit: str) -> str:
    rows = list(csv.DictReader(io.StringIO(as_csv([replace(EMPTY, unit=unit)]), newline="")))
    return rows[0]["unit"]


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r"])
def test_a_cell_that_begins_as_a_formula_is_text(sign: str) -> None:
    assert cell(f'{sign}HYPERLINK("x")') == f'\'{sign}HYPERLINK("x")'


@pytest.mark.parametrize("number", ["-5", "0.45", "+3", "-0.10", "2980", "psi", ""])
def test_numbers_and_plain_words_stay_as_they_are(number: str) -> None:
    assert cell(number) == number
