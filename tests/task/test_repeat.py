"""A step that is written once and done for each thing in a list."""

from typing import Any

import pytest

from handsfree.task.expectations import ConfirmExpected, ReadingExpected
from handsfree.task.model import Task
from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from handsfree.task.repeat import unroll
from handsfree.task.source import read_source
from tests.task.faults import READING, step, task

BOLTS = "each: {bolt: [left upper, right lower]}\n"


def read(*steps: str) -> Task:
    return read_task(task(*steps), "t.yaml")


def complaint(*steps: str) -> str:
    with pytest.raises(TaskFileError) as caught:
        read(*steps)
    return str(caught.value)


def test_the_step_is_done_for_each_thing_in_the_order_of_the_list() -> None:
    assert [each.id for each in read(step("bolt", BOLTS)).steps] == [
        "bolt-left-upper",
        "bolt-right-lower",
    ]


def test_each_step_knows_the_thing_at_hand() -> None:
    assert [dict(each.each) for each in read(step("bolt", BOLTS)).steps] == [
        {"bolt": ("left upper",)},
        {"bolt": ("right lower",)},
    ]


def test_the_mark_becomes_the_thing_in_every_text() -> None:
    first, _ = read(
        step("tighten", BOLTS + "warning: Mind the <bolt> bolt.", "{confirm: <bolt> tight}")
    ).steps
    assert first.warning == ("Mind the left upper bolt.",)
    assert first.expect == ConfirmExpected(confirm="left upper tight")


def test_each_has_a_reading_of_its_own() -> None:
    both = read(step("torque", BOLTS, READING)).steps
    assert all(isinstance(each.expect, ReadingExpected) for each in both)


def test_in_a_name_the_thing_is_written_with_hyphens() -> None:
    text = task(
        step("pull", "each: {thing: [main pin, side pin]}\nsets: {<thing>: out}"),
        states="states:\n"
        "  main-pin: {called: pin, values: [in, out], start: in, end: out}\n"
        "  side-pin: {called: pin, values: [in, out], start: in, end: out}\n",
    )
    assert [dict(each.sets) for each in read_task(text, "t.yaml").steps] == [
        {"main-pin": "out"},
        {"side-pin": "out"},
    ]


def test_a_deferral_leads_to_the_step_of_its_own_thing() -> None:
    """Written as its id is, with hyphens: of two words each."""
    go = BOLTS + "deferral: {authority: control, go: tidy-<bolt>}"
    steps = read(step("bolt", go), step("tidy", BOLTS)).steps
    led_to = [each.deferral.go for each in steps if each.deferral is not None]
    assert led_to == ["tidy-left-upper", "tidy-right-lower"]


def test_a_jump_to_a_repeated_step_leads_to_its_first_thing() -> None:
    *_, last = read(step("bolt", BOLTS), step("look", "then: {below: bolt}", READING)).steps
    assert last.then["below"].go == "bolt-left-upper"


def test_a_wait_counts_from_the_last_thing() -> None:
    *_, last = read(step("glue", BOLTS), step("go", "wait: {since: glue, at_least: 5 min}")).steps
    assert last.wait is not None
    assert last.wait.since == "glue-right-lower"


PAIRS = "each: {side: [left, right], bolt: [upper, lower]}\n"
FOUR = ["left-upper", "left-lower", "right-upper", "right-lower"]


def test_of_two_lists_every_pair_is_done_in_the_order_of_the_file() -> None:
    assert [each.id for each in read(step("bolt", PAIRS)).steps] == [f"bolt-{at}" for at in FOUR]
    turned = "each: {bolt: [upper, lower], side: [left, right]}\n"
    assert [each.id for each in read(step("bolt", turned)).steps] == [
        "bolt-upper-left",
        "bolt-upper-right",
        "bolt-lower-left",
        "bolt-lower-right",
    ]


def test_of_two_lists_both_marks_become_what_is_at_hand() -> None:
    _, second, *_ = read(
        step("tighten", PAIRS + "note: Mind the <side> <bolt> bolt.", "{confirm: <bolt> <side>}")
    ).steps
    assert second.note == ("Mind the left lower bolt.",)
    assert second.expect == ConfirmExpected(confirm="lower left")
    assert dict(second.each) == {"side": ("left",), "bolt": ("lower",)}


def test_of_two_lists_a_jump_leads_to_the_first_pair_and_a_wait_counts_from_the_last() -> None:
    wait = "wait: {since: bolt, at_least: 5 min}\nthen: {below: bolt}"
    *_, last = read(step("bolt", PAIRS), step("look", wait, READING)).steps
    assert last.then["below"].go == "bolt-left-upper"
    assert last.wait is not None
    assert last.wait.since == "bolt-right-lower"


def test_a_step_for_pairs_names_another_by_both_things_at_hand() -> None:
    back = "then: {below: bolt-<side>-<bolt>}"
    *_, last = read(step("bolt", PAIRS), step("look", f"{PAIRS}{back}", READING)).steps
    assert last.then["below"].go == "bolt-right-lower"


def test_two_pairs_that_make_one_id_are_told() -> None:
    one_id = "each: {side: [left, left upper], bolt: [upper nut, nut]}"
    assert complaint(step("bolt", one_id)) == (
        "t.yaml:9:5: step id 'bolt-left-upper-nut' is used twice, first in line 9. "
        "Give each step its own id"
    )


def test_a_mistake_in_it_is_told_where_it_is_written() -> None:
    assert complaint(step("bolt", BOLTS + "needs: {lid: shut}")) == (
        "t.yaml:13:13: unknown state 'lid'. Known: pin"
    )


def test_a_mark_that_stands_for_nothing_is_told() -> None:
    assert complaint(step("bolt", BOLTS + "note: Mind the <blot>.")).splitlines()[0] == (
        "t.yaml:9:5: '<blot>' stands for nothing in step 'bolt-left-upper'. "
        "Add 'each: {blot: [...]}' with what it stands for"
    )


@pytest.mark.parametrize(
    ("each", "told"),
    [
        ("each: {bolt: []}", "'bolt' has none, and needs 1. Add what is missing"),
        ("each: bolts", "'bolts': keys with values must stand here. Write 'key: value' lines"),
        ("each: {bolt: Left}", "'Left': a list must stand here. Write a list"),
        ("each: {bolt: [Left]}", "'Left' is not written as it must be"),
        (
            "each: {bolt: [one], nut: [one], pin: [one]}",
            "'each' has more than 2. Write fewer",
        ),
        ("each: {side: [left], bolt: []}", "t.yaml:12:26: 'bolt' has none, and needs 1"),
        ("each: {bolt: [left, left]}", "step id 'bolt-left' is used twice, first in line 9"),
    ],
)
def test_a_list_that_is_no_list_is_told(each: str, told: str) -> None:
    assert told in complaint(step("bolt", each))


def test_two_short_lists_cannot_grow_without_bound() -> None:
    many = ", ".join(["left"] * 71)  # 71 by 71 are 5,041
    assert complaint(step("bolt", f"each: {{side: [{many}], bolt: [{many}]}}")) == (
        "t.yaml:8:1: the task has more than 5,000 steps. Split it into several tasks"
    )


def test_a_wrong_thing_is_told_once_where_it_stands() -> None:
    assert complaint(step("bolt", "each: {side: [left], bolt: [Up, low]}")) == (
        "t.yaml:12:33: 'Up' is not written as it must be. "
        "Write lower case words with single spaces, as they are spoken, such as 'pin in'"
    )


def test_a_short_file_cannot_grow_without_bound() -> None:
    many = ", ".join(["left"] * 2_501)
    steps = [
        step(
            f"bolt-{at}".translate(str.maketrans("0123456789", "abcdefghij")),
            f"each: {{bolt: [{many}]}}",
        )
        for at in range(2)
    ]
    assert complaint(*steps) == (
        "t.yaml:8:1: the task has more than 5,000 steps. Split it into several tasks"
    )


EVERY_KEY = """\
steps:
  - id: look
    each: {thing: [left pin]}
    instruction: Look at the <thing>.
    warning: [Mind the <thing>., Mind both.]
    applies: {<thing>: fitted}
    needs: {<thing>: the <thing>}
    sets: {<thing>: fitted}
    counts_out: {<thing>: 1}
    counts_in: {<thing>: 1}
    uses: [<thing>]
    wait: {since: look-<thing>, at_least: 1 s}
    then: {done: fit-<thing>, <thing> bent: {go: mend-<thing>, sets: {<thing>: bent}}}
    deferral: {authority: who has the <thing>, go: leave-<thing>, sets: {<thing>: fitted}}
    expect:
      confirm: <thing> in
      tool: <thing>
      limits: {over: <thing>, drop_from: <thing>, of: {sum: [this, <thing>]}, called: <thing>}
    because: {limits: The <thing> has none.}
"""


def test_where_a_text_names_something_the_item_is_written_as_an_id() -> None:
    """Two words are said with a space, and written with a hyphen."""
    (step,) = unrolled(EVERY_KEY)
    assert step == {
        "id": "look-left-pin",
        "each": {"thing": ["left pin"]},
        "instruction": "Look at the left pin.",
        "warning": ["Mind the left pin.", "Mind both."],
        "applies": {"left-pin": "fitted"},
        "needs": {"left-pin": "the left pin"},
        "sets": {"left-pin": "fitted"},
        "counts_out": {"left-pin": "1"},
        "counts_in": {"left-pin": "1"},
        "uses": ["left-pin"],
        "wait": {"since": "look-left-pin", "at_least": "1 s"},
        "then": {
            "done": "fit-left-pin",
            "left pin bent": {"go": "mend-left-pin", "sets": {"left-pin": "bent"}},
        },
        "deferral": {
            "authority": "who has the left pin",
            "go": "leave-left-pin",
            "sets": {"left-pin": "fitted"},
        },
        "expect": {
            "confirm": "left pin in",
            "tool": "left-pin",
            "limits": {
                "over": "left-pin",
                "drop_from": "left-pin",
                "of": {"sum": ["this", "left-pin"]},
                "called": "left pin",
            },
        },
        "because": {"limits": "The left pin has none."},
    }


def unrolled(text: str) -> list[Any]:
    value = unroll(read_source(text, "t.yaml")).value
    assert isinstance(value, dict)
    assert isinstance(value["steps"], list)
    return value["steps"]


LED = """\
steps:
  - {id: fit, each: {side: [left, right]}, instruction: Fit the <side>., then: end}
  - {id: one, instruction: Look., then: fit, deferral: {authority: them, go: fit}}
  - {id: two, instruction: Look., then: {done: fit, bad: {go: fit}}, wait: {since: fit}}
  - {id: three, instruction: Look., then: two, wait: {since: one}, deferral: {go: one}}
"""


def test_a_jump_leads_to_the_first_copy_and_a_time_is_counted_from_the_last() -> None:
    _, _, one, two, three = unrolled(LED)
    assert (one["then"], one["deferral"]["go"]) == ("fit-left", "fit-left")
    assert two["then"] == {"done": "fit-left", "bad": {"go": "fit-left"}}
    assert two["wait"]["since"] == "fit-right"
    assert (three["then"], three["wait"]["since"], three["deferral"]["go"]) == ("two", "one", "one")
