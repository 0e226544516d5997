"""The search: what it carries, what it joins, and when it gives up."""

import json

from handsfree.task.proof.explore import Cone, walk
from handsfree.task.proof.prove import prove
from handsfree.task.read import read_and_prove
from tests.benchmarks.proof import generated
from tests.task.faults import TWO, step, task


def silent(_positions: int) -> None:
    pass


# Two states that a deferral leaves either way, and a rule about one of them.
OPEN = task(
    step("close-door", "sets: {door: closed}\ndeferral: {authority: them}"),
    step("pull-pin", "sets: {pin: removed}\ndeferral: {authority: them}"),
    states=TWO.replace("end: fitted", "end: [fitted, removed]").replace(
        "end: open", "end: [open, closed]"
    ),
)


def test_a_walk_carries_only_the_states_of_its_cone() -> None:
    checked, _, _ = read_and_prove(OPEN, "t.yaml")
    whole = walk(checked, Cone(frozenset({"pin", "door"})), silent)
    pin = walk(checked, Cone(frozenset({"pin"})), silent)
    none = walk(checked, Cone(), silent)
    assert [len(each.came_by) for each in (whole, pin, none)] == [1 + 2 + 4, 1 + 1 + 2, 1 + 1 + 1]


def test_a_state_that_decides_which_steps_apply_is_always_carried() -> None:
    text = task(
        step("close-door", "sets: {door: closed}\ndeferral: {authority: them}"),
        step("pull-pin", "applies: {door: closed}\nsets: {pin: removed}"),
        step("fit-pin", "needs: {pin: [fitted, removed]}\nsets: {pin: fitted}"),
        states=TWO.replace("end: open", "end: [open, closed]"),
    )
    _, proof, _ = read_and_prove(text, "t.yaml")
    # Door and pin together, although no rule names both.
    assert proof.walks == 1
    assert proof.positions == 6


def test_the_search_grows_with_the_states_of_a_rule_and_not_with_all_states() -> None:
    few, many = (read_and_prove(generated(60, states, 3), "g.yaml")[1] for states in (10, 40))
    wide = read_and_prove(generated(60, 10, 8), "g.yaml")[1]
    assert many.positions / many.walks < 2 * few.positions / few.walks
    assert wide.positions / wide.walks > 2 * few.positions / few.walks


def test_the_search_grows_in_proportion_to_the_steps() -> None:
    short, long = (read_and_prove(generated(steps, 10), "g.yaml")[1] for steps in (120, 240))
    assert long.positions < 2.2 * short.positions


def test_a_search_that_is_too_long_is_given_up_with_what_to_do() -> None:
    checked, _, source = read_and_prove(generated(60, 10, 8), "g.yaml")
    proof = prove(checked, source, silent, most=500)
    assert [each.describe("g.yaml") for each in proof.problems] == [
        "g.yaml:1:3141: the task cannot be proved: there are more than 500 situations to look at, "
        "the last ones of these states together: bleed-0, bleed-1, bleed-2, valve-0, valve-1, "
        "valve-2, valve-3, valve-4. "
        "Name fewer states in 'applies' and in one never rule, or split the task"
    ]
    assert proof.positions <= 500


def test_the_states_in_applies_are_named_where_a_search_is_given_up() -> None:
    made = json.loads(generated(60, 10, 8))
    made["steps"][-1]["applies"] = {"valve-0": "open"}
    checked, _, source = read_and_prove(json.dumps(made), "g.yaml")
    problem = prove(checked, source, silent, most=500).problems[0]
    assert "('applies' names valve-0)" in problem.what


def test_the_progress_is_told_while_the_search_goes_on() -> None:
    told: list[int] = []
    read_and_prove(generated(300, 20, 4), "g.yaml", told.append)
    assert told
    assert all(each % 1_000 == 0 for each in told)
