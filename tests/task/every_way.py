"""Every way through a small task, followed one by one without any of the product's code.

A second opinion on `handsfree.task.proof.prove`, written as plainly as it can be: whole positions,
no cones, and back to any of the last three completed steps, too.
"""

from typing import Any, NamedTuple

from tests.task.small_tasks import Plain

Verdict = tuple[str, ...]


class Place(NamedTuple):
    step: int
    side: str
    states: tuple[tuple[str, str], ...]
    out: int  # ties
    done: frozenset[str]  # ids


class Move(NamedTuple):
    left: Place
    outcome: str
    sets: dict[str, str]
    counted: bool
    reached: Place


def meets(condition: Any, value: str) -> bool:
    if isinstance(condition, str):
        return value == condition
    if isinstance(condition, list):
        return value in condition
    return value != "unknown" and value not in condition["not"]


def settle(task: Plain, place: Place) -> Place:
    """On to the next step that applies, or that may."""
    known = {**dict(place.states), "side": place.side}
    at = place.step
    while at < len(task["steps"]):
        applies = task["steps"][at].get("applies", {})
        if all(
            known[name] == "unknown" or meets(each, known[name]) for name, each in applies.items()
        ):
            break
        at += 1
    return place._replace(step=at)


def starts(task: Plain) -> list[Place]:
    states = tuple((name, state["start"]) for name, state in task["states"].items())
    out = task["counted"]["ties"]["start"]
    return [settle(task, Place(0, side, states, out, frozenset())) for side in ("left", "right")]


def outcomes(step: Plain) -> list[tuple[str, bool]]:
    """What can come of a step, and whether it is then done."""
    then = step.get("then", {})
    then = {"done": then} if isinstance(then, str) else then
    expect = step.get("expect", {})
    if "reading" in expect:
        found = [("inside", True)] + [(each, False) for each in ("below", "above") if each in then]
    elif "choose" in expect:
        required = expect.get("required")
        found = [
            (each, required in (None, each))
            for each in expect["choose"]
            if required in (None, each) or each in then
        ]
    else:
        found = [("done", True)]
    if "late" in then:
        found.append(("late", False))
    if "deferral" in step:
        found.append(("deferred", False))
    return found


def moves(task: Plain, place: Place) -> list[Move]:
    if place.step == len(task["steps"]):
        return []
    step = task["steps"][place.step]
    then = step.get("then", {})
    then = {"done": {"go": then}} if isinstance(then, str) else then
    found = []
    for outcome, done in outcomes(step):
        leads = step["deferral"] if outcome == "deferred" else then.get(outcome)
        if leads is None and done:
            leads = then.get("done")
        leads = leads or {}
        sets = {**(step.get("sets", {}) if done else {}), **leads.get("sets", {})}
        go = leads.get("go")
        ids = [each["id"] for each in task["steps"]]
        at = place.step + 1 if go is None else len(ids) if go == "end" else ids.index(go)
        out = place.out
        counted = done and bool(step.get("counts_out") or step.get("counts_in"))
        if counted and 0 <= out <= 2:
            out += 1 if step.get("counts_out") else -1
        states = tuple((name, sets.get(name, value)) for name, value in place.states)
        all_done = place.done | {step["id"]} if done else place.done - {step["id"]}
        reached = settle(task, Place(at, place.side, states, out, all_done))
        found.append(Move(place, outcome, sets, counted, reached))
    return found


def verdicts(task: Plain) -> dict[Verdict, int]:
    """Everything that is wrong on some way, with the number of steps of the shortest way to it."""
    found: dict[Verdict, int] = {}
    ids = [each["id"] for each in task["steps"]]
    level = list(dict.fromkeys(starts(task)))
    seen = dict.fromkeys(level, 0)
    every_move: list[Move] = []
    for place in level:
        for rule in task["never"]:
            if all(meets(each, dict(place.states)[name]) for name, each in rule["when"].items()):
                found.setdefault(("never at start", rule["because"]), 0)
        if any("expect" in step for step in task["steps"]) and nothing_heard(task, place):
            found["nothing",] = 0
    depth = 0
    while level:
        following = []
        for place in level:
            # A run that is at its end from the start is told of as having nothing to do.
            if depth or place.step < len(ids):
                for wrong in wrong_at(task, place):
                    found.setdefault(wrong, depth)
            for move in moves(task, place):
                every_move.append(move)
                for wrong in wrong_by(task, move):
                    found.setdefault(wrong, depth + 1)
                if move.reached not in seen:
                    seen[move.reached] = depth + 1
                    following.append(move.reached)
        level = following
        depth += 1
    for name in set(ids) - {ids[place.step] for place in seen if place.step < len(ids)}:
        found["unreached", name] = 0
    stuck = [seen[place] for place in seen if not can_end(task, place)]
    if stuck:
        found[("stuck",)] = min(stuck)
    return found


def nothing_heard(task: Plain, place: Place) -> bool:
    """Whether a run from here ends without anything that anybody must say."""
    for _ in range(len(task["steps"]) + 1):
        if place.step == len(task["steps"]):
            return True
        if "expect" in task["steps"][place.step]:
            return False
        place = moves(task, place)[0].reached
    return False


def can_end(task: Plain, place: Place) -> bool:
    waiting, seen = [place], {place}
    while waiting:
        here = waiting.pop()
        if here.step == len(task["steps"]):
            return True
        reached = {move.reached for move in moves(task, here)} - seen
        seen |= reached
        waiting += reached
    return False


def wrong_at(task: Plain, place: Place) -> list[Verdict]:
    states = dict(place.states)
    found: list[Verdict] = []
    if place.step == len(task["steps"]):
        for name, state in task["states"].items():
            if not meets(state["end"], states[name]):
                found.append(("end", name))
        if 0 <= place.out <= 2 and place.out != task["counted"]["ties"]["end"]:
            found.append(("end", "ties"))
        return found
    step = task["steps"][place.step]
    for name, condition in step.get("needs", {}).items():
        if not meets(condition, states[name]):
            found.append(("needs", step["id"], name))
    for name in step.get("applies", {}):
        if states.get(name) == "unknown":
            found.append(("guess", step["id"], name))
    since = step.get("wait", {}).get("since")
    if since is not None and since not in place.done:
        found.append(("rests", step["id"], since))
    return found


def wrong_by(task: Plain, move: Move) -> list[Verdict]:
    step = task["steps"][move.left.step]["id"]
    found: list[Verdict] = []
    before, after = dict(move.left.states), dict(move.reached.states)
    for rule in task["never"]:
        when = rule["when"]
        now = all(meets(each, after[name]) for name, each in when.items())
        was = all(meets(each, before[name]) for name, each in when.items())
        perhaps = all(
            after[name] == "unknown" or meets(each, after[name]) for name, each in when.items()
        )
        acted = any(before[name] != after[name] for name in when)
        if (now and not was) or (not now and perhaps and acted):
            found.append(("never", step, rule["because"]))
    if move.counted and 0 <= move.left.out <= 2 and not 0 <= move.reached.out <= 2:
        found.append(("count", step))
    return found


def places_with_going_back(task: Plain, most_moves: int) -> set[Place]:
    """Every place within so many moves, where one may also go back to what was before one of the
    last three completed steps, with the states of that time."""
    level: set[tuple[Place, tuple[Place, ...]]] = {(place, ()) for place in starts(task)}
    seen = set(level)
    for _ in range(most_moves):
        following: set[tuple[Place, tuple[Place, ...]]] = set()
        for place, trail in level:
            for move in moves(task, place):
                following.add((move.reached, (*trail, place)[-3:]))
            for back in range(len(trail)):
                following.add((trail[back], trail[:back]))
        level = following - seen
        seen |= level
    return {place for place, _ in seen}


def places(task: Plain, most_moves: int) -> set[Place]:
    level = set(starts(task))
    seen = set(level)
    for _ in range(most_moves):
        level = {move.reached for place in level for move in moves(task, place)} - seen
        seen |= level
    return seen
