"""A table is read in a spreadsheet, which carries out a cell that looks like a formula."""

import csv
import io

import pytest

from handsfree.record.table import as_csv
from handsfree.visible import escaped


def cell(text: str) -> str:
    rows = list(csv.DictReader(io.StringIO(as_csv(["unit"], [[text]]), newline="")))
    return rows[0]["unit"]


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r", "\n", "\uff1d"])
def test_a_cell_that_begins_as_a_formula_is_text(sign: str) -> None:
    assert cell(f'{sign}HYPERLINK("x")') == f'\'{escaped(sign)}HYPERLINK("x")'


@pytest.mark.parametrize("number", ["-5", "0.45", "+3", "-0.10", "2980", "psi", ""])
def test_numbers_and_plain_words_stay_as_they_are(number: str) -> None:
    assert cell(number) == number


def test_what_acts_on_a_terminal_is_written_out() -> None:
    assert cell("psi\x1b[2J\u202e") == "psi\\x1b[2J\\u202e"


def test_no_separator_of_another_spreadsheet_parts_a_cell() -> None:
    """Where a comma is the decimal point, a semicolon parts cells, unless they are quoted."""
    assert as_csv(["unit"], [["psi;=1+1"]]).splitlines()[1] == '"psi;=1+1"'
