"""The sheet shows all of a task, in text and as a page, and nothing in a task can act in it."""

import io
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree, html
from rich.console import Console

from handsfree.review.lane_drawing import draw
from handsfree.review.sheet import Sheet, sheet_of
from handsfree.review.sheet_html import css_string, sheet_page
from handsfree.review.sheet_text import print_sheet
from handsfree.task.model import Step, Task
from handsfree.visible import visible
from tests.review.shipped import SHA256, TASKS, TEMPLATE, read, said_texts, sheet_from
from tests.small_task import SMALL

SHEETS = {path.stem: sheet_of(read(path), SHA256) for path in TASKS}


def as_text(sheet: Sheet, width: int = 80) -> str:
    out = io.StringIO()
    print_sheet(sheet, Console(file=out, width=width, highlight=False))
    return out.getvalue()


def words_of(text: str) -> str:
    return " ".join(text.split())


def texts_of(page: str) -> str:
    return words_of(" ".join(html.fromstring(page).itertext()))


@pytest.mark.parametrize("path", TASKS, ids=lambda path: path.stem)
def test_every_text_of_a_shipped_task_is_on_the_page(path: Path) -> None:
    task = read(path)
    shown = texts_of(sheet_page(sheet_of(task, SHA256)))
    for text in said_texts(task):
        assert text in shown


@pytest.mark.parametrize("path", TASKS, ids=lambda path: path.stem)
def test_every_text_of_a_shipped_task_is_in_the_text(path: Path) -> None:
    task = read(path)
    shown = words_of(as_text(sheet_of(task, SHA256)))
    for text in said_texts(task):
        assert text in shown


@pytest.mark.parametrize("path", TASKS, ids=lambda path: path.stem)
def test_every_warning_stands_before_its_instruction(path: Path) -> None:
    """ASD-STE100, section 7 (from memory): safety instructions come before the step."""
    task = read(path)
    for shown in (words_of(as_text(SHEETS[path.stem])), texts_of(sheet_page(SHEETS[path.stem]))):
        at = shown.upper().index(" STEPS ")
        for step in task.steps:
            for text in (*step.warning, *step.caution, *step.note, step.instruction):
                at = shown.index(text, at) + len(text)


@pytest.mark.parametrize("width", [40, 80, 120])
@pytest.mark.parametrize("name", SHEETS)
def test_no_line_of_the_text_is_wider_than_the_terminal(name: str, width: int) -> None:
    # Only a digest has no place to break.
    for line in as_text(SHEETS[name], width).splitlines():
        assert len(line) <= width or SHA256[:8] in line


def test_a_step_reads_like_this() -> None:
    assert (
        "\n3   pressure\n"
        "    CAUTION   Do not press on the glass.\n"
        "    Note      The gauge is in the hose.\n"
        "    Do        Read the pressure.\n"
        "    Hear      pressure, in steps of 10 psi\n"
        "              also called bottle pressure, gauge\n"
        "    Limits    by the temperature of step 2, linear between table rows from -20\n"
        "              to 50 degC\n"
        "              at -20 degC: 2500 to 2800 psi\n"
        "              at 15 degC: 2750 to 3050 psi\n"
        "              at 50 degC: 3000 to 3300 psi\n"
        "    Needs     safety pin fitted\n"
    ) in as_text(sheet_from(SMALL))


def test_a_lane_shows_where_its_state_changes() -> None:
    assert as_text(sheet_from(SMALL)).endswith(
        "                   0123456\n"
        "safety pin fitted  .#====.\n"
        "           removed =.....# end\n"
        "cover      open    ====.#= end\n"
        "           closed  ....#..\n"
    )


def test_the_page_is_whole_and_fetches_nothing() -> None:
    for sheet in SHEETS.values():
        page = sheet_page(sheet)
        # Void elements closed, it must be well-formed: every other element ends where it should.
        closed = re.sub(r"<meta [^>]*>", "", page).replace("<!DOCTYPE html>\n", "")
        etree.fromstring(closed)
        assert not re.search(r"<script|<img|<link|<iframe|url\(|@import|https?:|src=", page)
        assert "default-src 'none'" in page


def test_the_drawing_has_a_label_for_every_change_and_every_confirmation() -> None:
    sheet = SHEETS["door-slide-refit"]
    (block,) = draw(sheet)
    expected = sum(len(lane.set_at) + 2 for lane in sheet.lanes)  # and the start and the end
    assert len(block.marks) == expected
    confirmed = [mark.label.text for mark in block.marks if not mark.changes]
    assert sorted(confirmed) == ["fitted", "fitted", "held open", "safe"]


def test_every_word_of_a_state_stands_above_its_lane() -> None:
    long = SMALL.replace("called: safety pin", "called: red safety pin of the lower left lever")
    (block,) = draw(sheet_from(long))
    heads = [head.text for head in block.heads]
    assert heads == [*["lever", "left", "lower", "the", "of", "pin", "safety", "red"], "cover"]
    assert all(0 < head.y < row.y for head in block.heads for row in block.rows)


def many_steps(steps: int, states: int) -> Task:
    small = read(TASKS[0])
    state = next(iter(small.states.values()))
    return small.model_copy(
        update={
            "states": {f"s{at}": state.model_copy() for at in range(states)},
            "never": (),
            "steps": tuple(Step(id=f"n{at}", instruction="Look.") for at in range(steps)),
        }
    )


@pytest.mark.parametrize(("steps", "states", "blocks"), [(1, 1, 1), (36, 10, 1), (37, 11, 4)])
def test_a_long_task_is_drawn_in_blocks_that_fit_on_a_page(
    steps: int, states: int, blocks: int
) -> None:
    drawn = draw(sheet_of(many_steps(steps, states), SHA256))
    assert len(drawn) == blocks
    # ISO 216: A4 is 297 mm high; margins of 38 mm and a heading of 30 mm are left free.
    assert all(block.height <= 297 - 38 - 30 for block in drawn)


def test_a_task_of_many_steps_is_shown_in_80_columns() -> None:
    shown = as_text(sheet_of(many_steps(300, 2), SHA256))
    assert max(len(line) for line in shown.splitlines()) <= 80
    assert words_of(shown).count(" end") >= 2


HOSTILE = [
    "<script>alert(1)</script>",
    "</style><script>alert(1)</script>",
    '"; } body { background: red; } @page { x: "',
    "{{ sheet }} {% raw %}",
    "& &amp; &lt;b&gt;",
    "[red]not a colour[/red]",
    "a \\u202e b \\x1b[31m red",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_text_is_shown_and_does_not_act(text: str) -> None:
    quoted = "'" + text.replace("'", "''") + "'" if "\\" not in text else f'"{text}"'
    filled = TEMPLATE.format(title=quoted, because=quoted, warning=quoted, instruction=quoted)
    sheet = sheet_from(filled)
    page = sheet_page(sheet)
    parsed = html.fromstring(page)
    assert not parsed.xpath("//script | //b")
    assert len(parsed.xpath("//style")) == 1
    assert texts_of(page).count(words_of(text)) >= 4
    printed = as_text(sheet)
    assert words_of(printed).count(words_of(text)) >= 4
    assert "\x1b" not in printed
    assert "\u202e" not in printed + page


@given(st.text())
def test_what_is_shown_is_printable_and_on_one_line(text: str) -> None:
    assert visible(text).isprintable()


@given(st.text())
def test_no_text_can_end_a_css_string(text: str) -> None:
    inner = str(css_string(text))[1:-1]
    assert re.fullmatch(r"(?:[A-Za-z0-9 ]|\\[0-9a-f]+ )*", inner)
    # Reference: CSS Syntax Level 3, 4.3.7: an escape is hexadecimal digits and one white space.
    read_back = re.sub(r"\\([0-9a-f]+) ", lambda m: chr(int(m[1], 16)), inner)
    assert read_back == text


def test_a_key_that_the_sheet_does_not_know_is_shown_by_its_name() -> None:
    class LaterStep(Step):
        second_person: str = ""

    small = read(TASKS[0])
    later = LaterStep(id="look", instruction="Look.", second_person="reads it back")
    task = small.model_copy(update={"steps": (*small.steps, later)})
    assert sheet_of(task, SHA256).steps[-1].further == ("second_person: reads it back",)
