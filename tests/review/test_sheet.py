"""The sheet shows all of a task, in text and as a page, and nothing in a task can act in it."""

import io
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree, html
from rich.console import Console

from handsfree.authoring.starter import starter_for
from handsfree.review.courses import repeats
from handsfree.review.lane_drawing import Box, draw
from handsfree.review.sheet import Sheet, sheet_of
from handsfree.review.sheet_html import css_string, sheet_page, whole
from handsfree.review.sheet_text import print_sheet
from handsfree.task.model import Task
from handsfree.task.read import read_task
from handsfree.task.step import Step
from handsfree.visible import visible
from tests.review.shipped import SHA256, TEMPLATE, read, said_texts, sheet_from
from tests.shipped_tasks import TASKS
from tests.small_task import SMALL
from tests.task import faults

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
        "                to 50 degC\n"
        "              at -20 degC: 2500 to 2800 psi\n"
        "              at 15 degC: 2750 to 3050 psi\n"
        "              at 50 degC: 3000 to 3300 psi\n"
        "    Needs     safety pin fitted\n"
    ) in as_text(sheet_from(SMALL))


STARTER = sheet_of(read_task(starter_for(Path("t.yaml")), "t.yaml"), SHA256)


def printed_step(step: str) -> str:
    """What the text says of one step of the starter, which has every key; without line breaks."""
    (printed,) = re.findall(rf"\n\d+ +{step}\n(.*?)\n\n", as_text(STARTER), re.S)
    return words_of(printed)


@pytest.mark.parametrize(
    ("step", "told"),
    [
        ("find-side", "Applies only where side is left; else it is passed over"),
        (
            "look-at-seal",
            'Hear one of: "seal is good", "seal is damaged" goes on with each of them '
            'Then "seal is good": on to step 5, fit-pin; it sets seal good '
            '"seal is damaged": on to step 4, replace-seal; it sets seal damaged',
        ),
        ("fit-pin", "CRITICAL a wrong answer here can kill, so it must be heard more surely"),
        (
            "pressure-again",
            "Wait at least 10 min after step 8, temperature, was done; an earlier answer is not "
            "taken at most 2 h after step 8, temperature, was done; a later answer is too late",
        ),
        (
            "pressure-again",
            "Then inside limits: the next step follows "
            "below minimum or too late: back to step 8, temperature "
            "above maximum: the task stays at this step",
        ),
        (
            "run-down-lower",
            "Repeat for nut lower, 2 of 2: upper, lower, in this order",
        ),
        ("gap-right", "or in steps of 1 mm; the unit must be said with each value"),
        ("gap-right", "said in fractions too"),
        ("harness", "Counts ties: 5 out of their place"),
        ("spare-tie", "Counts ties: 1 back in their place"),
        ("temperature", "Needs thermometer in calibration"),
        ("thermometer-number", "of the tool thermometer"),
        ("thermometer-date", "calibration due: a last day, which is today or later"),
        ("thermometer-date", "out of date: back to step 6, thermometer-number"),
        (
            "light-test",
            'Deferral after "unable" it may stay undone if PLACEHOLDER, such as maintenance '
            "control agrees; a finding is then open; the next step follows",
        ),
    ],
)
def test_a_step_tells_in_sentences_what_it_rests_on_and_where_it_leads(
    step: str, told: str
) -> None:
    assert told in printed_step(step)
    assert all(part in texts_of(sheet_page(STARTER)) for part in re.split("Hear |Then ", told)[1:])


def test_the_head_of_the_sheet_tells_what_holds_for_the_whole_task() -> None:
    for shown in (words_of(as_text(STARTER)), texts_of(sheet_page(STARTER))):
        assert "(its calibration is valid up to and including 2031-05-04)" in shown
        assert "ties: 5 in all; 0 out of their place at the start, 4 at the end" in shown
        assert "side: left or right" in shown
        assert "seal: step 3 is the first that sets it" in shown


def test_no_key_of_the_language_is_left_to_be_shown_by_its_name() -> None:
    """The starter has every key; test_starter.py sees to it."""
    for sheet in (STARTER, *SHEETS.values()):
        assert not sheet.further
        assert not any(step.further for step in sheet.steps)
        heard = " ".join(text for step in sheet.steps for text in step.heard)
        assert not re.search("[a-z]_[a-z]|[{}()]", heard)


def test_a_lane_shows_where_its_state_changes() -> None:
    assert as_text(sheet_from(SMALL)).endswith(
        "                   0123456\n"
        "safety pin fitted  .#====.\n"
        "           removed =.....# end\n"
        "cover      open    ====.#= end\n"
        "           closed  ....#..\n"
    )


REWORK = """\
  - id: measure
    instruction: Measure the gap.
    expect: {reading: length, unit: mm, resolution: 1, limits: {min: 1, max: 5}}
    then: {inside: close-up, above: take-out}
  - id: take-out
    instruction: Remove the pin again.
    expect: {confirm: pin out again}
    sets: {pin: removed}
    then: {done: measure}
  - id: close-up
    instruction: Close the cover again.
    expect: {confirm: pin in at last}
    sets: {pin: fitted}
    deferral: {authority: maintenance control}
"""


def test_a_lane_follows_the_ways_through_the_steps_and_not_the_order_of_the_file() -> None:
    """Worked by hand: at 'measure' the pin is out, or out again; a deferral leaves it so."""
    sheet = sheet_from(SMALL[: SMALL.index("  - id: fit-pin")] + REWORK)
    lane = sheet.lanes[0]
    assert lane.before == (("removed",), ("removed",), ("removed",))
    assert lane.after == (("removed",), ("removed",), ("fitted", "removed"))
    assert as_text(sheet).splitlines()[-4:-2] == [
        "safety pin fitted  ...#",
        "           removed ==#= end",
    ]


def test_the_drawing_breaks_a_lane_where_a_step_is_not_begun_from_the_row_above() -> None:
    """The bar that is engaged goes to step 38 from step 36; step 37 leads back to step 35."""
    sheet = SHEETS["door-slide-refit"]
    (lane,) = (each for each in sheet.lanes if each.called == "girt bar")
    assert [lane.joins_above(number) for number in (36, 37, 38, 39)] == [True, True, False, True]
    assert lane.before[37] == ("engaged",)
    assert lane.after[36] == ("stowed",)
    drawn = sum(len(block.stretches) for block in draw(sheet))
    missing = len(sheet.lanes) * (len(sheet.steps) + 1) - drawn
    assert missing == 2  # of the lever and of the bar


def test_the_shipped_task_shows_what_two_people_read_and_what_is_inspected() -> None:
    sheet = SHEETS["door-slide-refit"]
    for shown in (words_of(as_text(sheet)), texts_of(sheet_page(sheet))):
        assert shown.count("the same from a second person, before it is said aloud") == 1
        assert shown.count("inspected, or rejected, from an inspector") == 1


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
    blocks = draw(sheet)
    marks = [mark for block in blocks for mark in block.marks]
    set_by_steps = sum(bool(each) for lane in sheet.lanes for each in lane.set_to)
    # And where each block begins, and the end.
    assert len(marks) == set_by_steps + (len(blocks) + 1) * len(sheet.lanes)
    assert {mark.box for mark in marks} == {Box.SOLID}  # no step sets what is so already
    assert [mark.label.text for mark in marks].count("unknown") == 4


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


@pytest.mark.parametrize(("steps", "states", "blocks"), [(1, 1, 1), (39, 10, 1), (40, 11, 4)])
def test_a_long_task_is_drawn_in_blocks_that_fit_on_a_page(
    steps: int, states: int, blocks: int
) -> None:
    drawn = draw(sheet_of(many_steps(steps, states), SHA256))
    assert len(drawn) == blocks
    # ISO 216: A4 is 297 mm high; margins of 38 mm and a heading of 30 mm are left free.
    assert all(block.height <= 297 - 38 - 30 for block in drawn)


@pytest.mark.parametrize("lanes", [1, 10])
def test_values_that_depend_on_the_way_stay_within_their_lane(lanes: int) -> None:
    values = ["held open by hand", "fully closed", "half open"]
    text = SMALL[: SMALL.index("states:")] + "states:\n"
    for at in range(lanes):
        text += f"  s{at}: {{called: door, values: {values}, start: {values[0]}, end: {values}}}\n"
    every = ", ".join(f"s{at}: {values[1]}" for at in range(lanes))
    text += (
        "steps:\n  - id: look\n    instruction: Look.\n    expect: {choose: [it is so, not so]}\n"
    )
    text += f"    then: {{not so: {{sets: {{{every}}}}}}}\n"
    (block,) = draw(sheet_from(text))
    wide = [
        mark for mark in block.marks if mark.label.text in ("2 values", " or ".join(values[:2]))
    ]
    assert len(wide) == lanes
    room = 27.0 if lanes == 1 else 13.4  # mm
    assert all(len(mark.label.text) * mark.label.size * 0.6 <= room for mark in wide)
    assert " or ".join(values[:2]) in block.described


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


def test_a_number_with_a_hyphen_is_not_broken_over_two_lines() -> None:
    assert str(whole("only VK-4086")) == 'only <bdi class="whole">VK-4086</bdi>'
    assert str(whole("a <b>-c</b>")) == 'a <bdi class="whole">&lt;b&gt;-c&lt;/b&gt;</bdi>'
    assert str(whole("<i>")) == "&lt;i&gt;"
    assert str(whole("x-" * 30)) == "x-" * 30


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


def test_a_step_for_two_lists_says_both_things_and_every_pair() -> None:
    pairs = "each: {side: [left, right], bolt: [upper, lower]}"
    told = repeats(read_task(faults.task(faults.step("bolt", pairs)), "t.yaml"))
    assert told["bolt-right-upper"] == (
        "for side right, bolt upper, 3 of 4: "
        "left upper, left lower, right upper, right lower, in this order"
    )
