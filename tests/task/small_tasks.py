"""Small tasks drawn at random, as plain values: what a task file would hold."""

import json
from typing import Any

from hypothesis import strategies as st

STATES = {"pin": ("in", "out"), "door": ("open", "ajar", "shut")}
Plain = dict[str, Any]

_SETS = st.dictionaries(st.just("pin"), st.sampled_from(STATES["pin"])) | st.dictionaries(
    st.just("door"), st.sampled_from(STATES["door"])
)


@st.composite
def _condition(draw: st.DrawFn, name: str) -> Any:
    values = st.sampled_from(STATES[name])
    form = draw(st.sampled_from(["one", "one", "several", "not"]))
    if form == "one":
        return draw(values)
    some = draw(st.lists(values, min_size=1, max_size=len(STATES[name]) - 1, unique=True))
    return some if form == "several" else {"not": some}


@st.composite
def _conditions(draw: st.DrawFn, most: int = 1) -> Plain:
    names = draw(st.lists(st.sampled_from(sorted(STATES)), max_size=most, unique=True))
    return {name: draw(_condition(name)) for name in names}


@st.composite
def _exit(draw: st.DrawFn, targets: list[str]) -> Plain:
    return {"go": draw(st.sampled_from(targets)), "sets": draw(_SETS)}


@st.composite
def _step(draw: st.DrawFn, at: int, number: int) -> Plain:
    name = "abcdefgh"[at]
    targets = ["end", *("abcdefgh"[each] for each in range(number) if each != at)]
    step: Plain = {"id": name, "instruction": "Do it."}
    kind = draw(st.sampled_from(["confirm", "confirm", "reading", "choose", "said"]))
    if kind == "said":
        if draw(st.integers(0, 4)) == 0:
            step["then"] = draw(st.sampled_from(targets))
        return step
    outcomes = ["done"]
    if kind == "confirm":
        step["expect"] = {"confirm": f"{name} done"}
    elif kind == "reading":
        limits = {"min": 0, "max": 40}
        step["expect"] = {
            "reading": "temperature",
            "unit": "degC",
            "resolution": 1,
            "limits": limits,
        }
        outcomes = ["inside", "below", "above"]
    else:
        step["expect"] = {"choose": ["intact", "torn"]}
        if draw(st.booleans()):
            step["expect"]["required"] = "intact"
        outcomes = ["intact", "torn"]
    step["sets"] = draw(_SETS)
    if draw(st.integers(0, 2)) == 0:
        step["needs"] = draw(_conditions())
    if draw(st.integers(0, 3)) == 0:
        step["applies"] = draw(_conditions() | st.just({"side": "left"}))
    if draw(st.integers(0, 2)) == 0:
        leading = draw(st.lists(st.sampled_from(outcomes), max_size=2, unique=True))
        step["then"] = {each: draw(_exit(targets)) for each in leading}
    if draw(st.integers(0, 2)) == 0:
        step["deferral"] = {"authority": "them", **draw(_exit(targets))}
        if draw(st.booleans()):
            del step["deferral"]["go"]
    if draw(st.integers(0, 4)) == 0:
        step[draw(st.sampled_from(["counts_out", "counts_in"]))] = {"ties": 1}
    return step


@st.composite
def plain_tasks(draw: st.DrawFn) -> Plain:
    """A task of one to five steps, two states, one variant and one counted item."""
    number = draw(st.integers(1, 5))
    steps = [draw(_step(at, number)) for at in range(number)]
    answered = [at for at, step in enumerate(steps) if "expect" in step]
    if len(answered) > 1 and draw(st.booleans()):
        since, waiting = draw(st.permutations(answered))[:2]
        steps[waiting]["wait"] = {"since": steps[since]["id"], "at_least": "1 min"}
        if draw(st.booleans()):
            targets = [step["id"] for step in steps if step is not steps[waiting]]
            steps[waiting]["wait"]["at_most"] = "2 min"
            then = steps[waiting].setdefault("then", {})
            then["late"] = draw(_exit([*targets, "end"]))
    return {
        "task": "small",
        "title": "A small task",
        "revision": "1",
        "approved_data": {"reference": "QX 1", "revision": "2"},
        "applicability": {"aircraft": "Any 1", "component": "bottle"},
        "variants": {"side": ["left", "right"]},
        "states": {
            name: {
                "called": name,
                "values": list(values),
                "start": draw(st.sampled_from(["unknown", *values, *values])),
                "end": draw(st.sampled_from([values[0], *[list(values)] * 3])),
            }
            for name, values in STATES.items()
        },
        "counted": {
            "ties": {
                "called": "ties",
                "total": 2,
                "start": 1,
                "end": draw(st.sampled_from([0, 1, 1])),
            }
        },
        "never": [
            {"when": when, "because": f"rule {at}"}
            for at, when in enumerate(draw(st.lists(_conditions(2).filter(bool), max_size=2)))
        ],
        "steps": steps,
    }


def as_text(task: Plain) -> str:
    """The task as a file; JSON is YAML too."""
    return json.dumps(task)
