"""What a file can grow to is bounded, and told before it is walked where that can be."""

import pytest

from handsfree.task.problems import TaskFileError
from handsfree.task.proof import explore
from handsfree.task.proof.explore import Cone, TooManyPositions, variants_that_matter, walk
from handsfree.task.read import read_and_prove, read_task
from tests.task.faults import READING, step, task

NAMES = [f"v{each}" for each in "abcdefgh"]


def with_variants(values: int, told_apart: int) -> str:
    """Eight variants of so many values; so many of each are named by some step."""
    letters = "abcdefghij"[:values]
    variants = "".join(f"  {name}: [{', '.join(f'x{a}' for a in letters)}]\n" for name in NAMES)
    steps = [
        step(f"do-{name}-x{a}", f"applies: {{{name}: x{a}}}")
        for name in NAMES
        for a in letters[:told_apart]
    ]
    return task(*steps, step("leave"), states="", more=f"variants:\n{variants}")


def complaint(text: str) -> str:
    with pytest.raises(TaskFileError) as caught:
        read_task(text, "t.yaml")
    return str(caught.value)


def test_variants_that_multiply_are_refused_before_the_first_situation(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(explore, "beginning", None)
    told = complaint(with_variants(10, 10))
    assert told == (
        "t.yaml:6:1: the task cannot be proved: there are more than 1,000,000 situations to look "
        "at; 'applies' tells 100,000,000 combinations of variants apart: "
        + ", ".join(f"{name} (10)" for name in NAMES)
        + ". Name fewer variants in 'applies', or write a task for each value of one of them"
    )


def test_values_that_no_step_tells_apart_are_walked_once() -> None:
    read, proof, _ = read_and_prove(with_variants(10, 1), "t.yaml")
    assert set(map(len, variants_that_matter(read).values())) == {2}
    assert proof.positions < 2**8 * 10


def test_what_is_told_apart_is_what_applies_names() -> None:
    text = task(
        step("one", "applies: {side: [left, right]}"),
        step("two", "applies: {side: {not: left}}"),
        step("leave"),
        more="variants: {side: [left, right, upper, lower], size: [small, large]}\n",
    )
    assert variants_that_matter(read_task(text, "t.yaml")) == {"side": ("left", "right", "upper")}


def test_a_position_that_carries_very_much_counts_for_more() -> None:
    names = [f"s{at}" for at in range(120)]
    states = "states:\n" + "".join(
        f"  {name}: {{called: pin, values: [fitted, removed], start: fitted, end: fitted}}\n"
        for name in names
    )
    read = read_task(task(*(step(f"do-{a}") for a in "abcdef"), states=states), "t.yaml")
    assert len(walk(read, Cone(states=frozenset(names[:60])), lambda _: None, 7).came_by) == 7
    with pytest.raises(TooManyPositions):
        walk(read, Cone(states=frozenset(names)), lambda _: None, 7)


@pytest.mark.parametrize(
    ("expect", "told"),
    [
        (
            "{confirm: " + "pin " * 20_000 + "fitted}",
            "a phrase of 20,001 words. Write at most 12 words, which a person can say without a "
            "slip",
        ),
        (
            "{confirm: pi" + "n" * 20_000 + " fitted}",
            "a word of 20,002 letters. Write words of at most 60 letters",
        ),
        (
            "{choose: [all good, " + "bad " * 20 + "thing]}",
            "a phrase of 21 words. Write at most 12 words, which a person can say without a slip",
        ),
    ],
)
def test_a_phrase_that_nobody_can_say_is_refused(expect: str, told: str) -> None:
    assert told in complaint(task(step("look", "", expect)))


@pytest.mark.parametrize(
    ("key", "text", "told"),
    [
        (
            "warning",
            "Gas can kill. " * 80,
            "a text of 1,119 characters. Write at most 1,000 in one: nobody can listen to more. "
            "Split it",
        ),
        ("note", "a" * 61, "a word of 61 letters. Write words of at most 60 letters"),
    ],
)
def test_a_text_that_nobody_can_listen_to_is_refused(key: str, text: str, told: str) -> None:
    assert told in complaint(task(step("look", f"{key}: {text}")))


def test_more_phrases_than_can_be_told_apart_are_refused() -> None:
    letters = "abcdefghij"
    steps = [
        f"  - id: s{at}\n    instruction: Do it.\n    expect: {{choose: [{one}, {other}]}}\n"
        for at in range(2_501)
        for one, other in [
            (
                " ".join(2 * letters[int(each)] for each in f"{at:04}"),
                " ".join(2 * letters[int(each)] for each in f"{at:04}{at % 10}"),
            )
        ]
    ]
    assert complaint(task(*steps)) == (
        "t.yaml:8:1: the task has 5,002 phrases that differ. Write at most 5,000, or split the task"
    )


def test_a_table_longer_than_any_in_a_manual_is_refused() -> None:
    rows = ", ".join(f"{{at: {at}, min: 1, max: 2}}" for at in range(201))
    table = (
        f"{{reading: pressure, unit: psi, resolution: 1, limits: {{over: warm, table: [{rows}]}}}}"
    )
    told = complaint(task(step("warm", "", READING), step("look", "", table)))
    assert told.endswith("'table' has more than 200. Write fewer")


def test_what_a_file_holds_stays_on_its_line_and_does_not_act() -> None:
    told = complaint('task: x\n"ti\\e[2J\\nt.yaml:1:1: all is well": no\n')
    assert told.splitlines()[0].startswith(
        "t.yaml:2:1: unknown key 'ti\\x1b[2J t.yaml:1:1: all is well'. "
    )
    assert "\x1b" not in told


def test_a_task_of_a_thousand_plain_steps_is_walked_once() -> None:
    steps = "".join(
        f"  - id: s{at}\n    instruction: Do it.\n    expect: {{confirm: thing done}}\n"
        for at in range(1_000)
    )
    proof = read_and_prove(task(steps), "t.yaml")[1]
    assert (proof.walks, proof.positions) == (1, 1_001)
