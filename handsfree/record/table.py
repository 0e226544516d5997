"""Tables as CSV, by RFC 4180, for people who open them in a spreadsheet."""

import csv
import io
import re
from collections.abc import Iterable, Sequence

from handsfree.visible import escaped

Cell = str | int

_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")
# What a spreadsheet takes for the beginning of a formula: OWASP, "CSV Injection" (from memory).
_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def as_csv(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """The table with a head line; no cell acts, and none breaks out of its place.

    Each cell is quoted, so that a semicolon parts none where a spreadsheet looks for semicolons.
    """
    text = io.StringIO(newline="")
    csv.writer(text).writerow(columns)
    table = csv.writer(text, quoting=csv.QUOTE_ALL)
    table.writerows(map(_inert, row) for row in rows)
    return text.getvalue()


def _inert(cell: Cell) -> Cell:
    """`cell`, with an apostrophe before what would be a formula; a plain number stays one."""
    if isinstance(cell, int) or _NUMBER.fullmatch(cell):
        return cell
    return escaped(f"'{cell}" if cell.startswith(_BEGINS_A_FORMULA) else cell)
