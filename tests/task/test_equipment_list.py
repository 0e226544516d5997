"""The tool store's list: strict, and each mistake told with its line and what to write."""

import contextlib
import csv
import io
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.task.equipment_list import (
    COLUMNS,
    STATUSES,
    EquipmentListError,
    ListedTool,
    check_fits,
    read_equipment,
)
from handsfree.task.read import read_task

HEADING = "serial,name,calibration due,status\n"
WRENCH = 'TW-31,"Wrench, 10 to 50 N.m",2071-03-15,serviceable\n'


def told(content: str | bytes) -> str:
    data = content if isinstance(content, bytes) else content.encode()
    with pytest.raises(EquipmentListError) as caught:
        read_equipment(data, "list.csv")
    assert caught.value.exit_code == 2
    return str(caught.value)


def test_a_tool_is_listed_as_it_is_spoken_without_hyphens() -> None:
    assert read_equipment((HEADING + WRENCH).encode(), "list.csv") == (
        ListedTool("TW31", "Wrench, 10 to 50 N.m", date(2071, 3, 15), "serviceable"),
    )


def test_columns_may_come_in_any_order_with_more_beside_them() -> None:
    content = "Status,place,SERIAL,Name,Calibration Due\nmissing,shelf 2,K4,Socket,\n\n"
    assert read_equipment(content.encode(), "l") == (ListedTool("K4", "Socket", None, "missing"),)


def test_a_mark_of_byte_order_is_no_part_of_the_heading() -> None:
    assert len(read_equipment(b"\xef\xbb\xbf" + (HEADING + WRENCH).encode(), "list.csv")) == 1


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (
            "serial,name,status\n",
            "list.csv:1:1: column 'calibration due' is missing. "
            "Write the columns serial, name, calibration due, status",
        ),
        ("serial," + HEADING, "list.csv:1:1: column 'serial' is there twice. Keep one of them"),
        (
            HEADING + WRENCH + WRENCH.replace("TW-31", "TW3-1"),
            "list.csv:3:1: serial 'TW3-1' is listed twice, first in line 2. "
            "Keep the line that is right",
        ),
        (
            HEADING + WRENCH.replace("03-15", "02-31"),
            "list.csv:2:1: '2071-02-31' is not a date of the calendar. "
            "Write year, month and day, such as 2031-05-04, or nothing",
        ),
        (
            HEADING + WRENCH.replace("2071-03-15", "15.3.2071"),
            "list.csv:2:1: '15.3.2071' is not a date of the calendar. "
            "Write year, month and day, such as 2031-05-04, or nothing",
        ),
        (
            HEADING + WRENCH.replace("serviceable", "good"),
            "list.csv:2:1: 'good' is not a status. "
            "Write one of serviceable, unserviceable, quarantined, missing",
        ),
        (
            HEADING + WRENCH.replace("TW-31", "tw 31"),
            "list.csv:2:1: serial 'tw 31' cannot be read out letter by letter. "
            "Write capital letters, figures and hyphens, such as 'TW-31'",
        ),
        (
            HEADING + "TW-31,,,serviceable\n",
            "list.csv:2:1: the tool has no name. Write the name that the task uses",
        ),
        (
            HEADING + "TW-31,Wrench\x1b[2J,,serviceable\n",
            r"list.csv:2:1: the name 'Wrench\x1b[2J' has a character that cannot be seen. "
            "Remove it, or write a plain space in its place",
        ),
        (
            HEADING + WRENCH.replace('"', ""),
            "list.csv:2:1: the line has 5 values for 4 columns. "
            "Write one value for each, and quote a value that has a comma in it",
        ),
        (
            HEADING + 'TW-31,"Wrench,,serviceable\n',
            "list.csv:2:1: the line is no CSV (unexpected end of data). "
            "Close each quote in its own line",
        ),
        (
            HEADING.encode() + b"TW-31,Schl\xfcssel,,serviceable\n",
            "list.csv:2:11: byte 0xfc is no text in UTF-8. Save the list as CSV in UTF-8",
        ),
        (
            "",
            "list.csv:1:1: column 'serial' is missing. "
            "Write the columns serial, name, calibration due, status",
        ),
    ],
)
def test_a_mistake_is_named_with_its_line_and_what_to_write(
    content: str | bytes, message: str
) -> None:
    assert told(content).splitlines()[0] == message


def test_every_mistake_is_told_at_once() -> None:
    bad = WRENCH.replace("serviceable", "good")
    assert len(told(HEADING + bad + bad.replace("TW-31", "TW-32")).splitlines()) == 2


@given(
    st.lists(
        st.builds(
            ListedTool,
            st.from_regex(r"[A-Z0-9]{1,8}", fullmatch=True),
            st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1),
            st.none() | st.dates(),
            st.sampled_from(STATUSES),
        ),
        unique_by=lambda tool: tool.serial,
    )
)
def test_a_list_that_the_csv_module_of_python_writes_is_read_as_it_was(
    tools: list[ListedTool],
) -> None:
    written = io.StringIO()
    rows = csv.writer(written)
    rows.writerow(COLUMNS)
    rows.writerows((each.serial, each.name, each.calibration_due, each.status) for each in tools)
    assert list(read_equipment(written.getvalue().encode(), "list.csv")) == tools


@given(st.binary(max_size=200) | st.text().map(lambda text: (HEADING + text).encode()))
def test_whatever_is_in_the_file_it_is_read_or_told_of(content: bytes) -> None:
    with contextlib.suppress(EquipmentListError):
        assert all(each.status in STATUSES for each in read_equipment(content, "list.csv"))


def test_a_list_without_a_tool_that_the_task_identifies_is_refused() -> None:
    task = read_task(TASK, "t.yaml")
    check_fits(task, (ListedTool("K1", "torque  WRENCH", None, "serviceable"),), "list.csv")
    with pytest.raises(EquipmentListError) as caught:
        check_fits(task, (ListedTool("K1", "Socket", None, "serviceable"),), "list.csv")
    assert str(caught.value) == (
        "list.csv:1:1: no tool is called 'Torque wrench', as the task calls it. "
        "Add the tool, or call it in the list as the task does"
    )


TASK = """\
task: small
title: Small
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: bolt}
equipment: [{name: Torque wrench, id: wrench}]
steps:
  - {id: number, instruction: Read the number., expect: {identity: number, tool: wrench}}
"""


def test_a_line_of_spaces_is_no_tool() -> None:
    assert read_equipment((HEADING + "  \n , , , \n").encode(), "list.csv") == ()
