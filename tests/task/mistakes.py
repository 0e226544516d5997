"""What an author may write wrong, one mistake each. What is told of it stands in `mistakes.txt`.

To make the file anew after a change on purpose, run this file as a module; read the difference
before you keep it.
"""

import sys
from pathlib import Path

from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from tests.task.faults import CHOICE, HEAD, READING, over, step, task

TOLD = Path(__file__).with_suffix(".txt")


def _expects(expect: str, *before: str) -> str:
    return task(*before, step("look", "", f"{{{expect}}}"))


def _limits(limits: str, *before: str) -> str:
    reading = "reading: pressure, unit: psi, resolution: 1"
    return _expects(f"{reading}, limits: {{{limits}}}", *before)


def _state(state: str) -> str:
    return task(step("look"), states=f"states:\n  pin: {{{state}}}\n")


def _reading(more: str) -> str:
    return _expects(f"reading: temperature, unit: degC, limits: {{max: 40}}, {more}")


def _torque(limits: str) -> str:
    return _expects(f"reading: torque, unit: N.m, resolution: 1, limits: {{{limits}}}")


GAUGE = "reading: pressure, unit: psi, limits: {max: 9}"
TEMPERATURES = (step("warm", "", READING), step("cold", "", READING))
PRESSURE = step("first", "", f"{{{GAUGE}, resolution: 1}}")
WRENCH = "torque: {min: 5 N.m, max: 9 N.m}, wrench: {min: 2 N.m, max: 20 N.m"

TEXTS: dict[str, str] = {
    # What a file is made of.
    "a key twice": HEAD + "task: again\n",
    "an anchor": HEAD.replace("small\n", "&a small\n", 1),
    "deeper than any task": HEAD + "states: " + "[" * 60 + "]" * 60 + "\n",
    "not YAML": HEAD + "steps: [\n",
    "a list in place of keys": "- task\n",
    "a key that nobody knows": HEAD + "stepps: []\n",
    "no steps": HEAD,
    "an empty list of steps": HEAD + "steps: []\n",
    "a text in place of steps": HEAD + "steps: look\n",
    "a list in place of a text": HEAD.replace("A small task", "[a, b]")
    + task(step("look"))[len(HEAD) :],
    "an empty text": task(step("look")).replace("A small task", '""'),
    "a blank text": task(step("look")).replace("A small task", '"  "'),
    "nothing behind a key": task(step("look")).replace("A small task", ""),
    "a figure of another script": task(step("look")).replace("A small task", '"A \\u0665"'),
    "a letter of another script": task(step("look")).replace("A small task", "Ein \u0416"),
    "a character that cannot be seen": task(step("look")).replace("A small task", '"A\\u200b"'),
    "half a character": task(step("look")).replace("A small task", '"\\ud800"'),
    "a text that nobody can listen to": task(step("look")).replace("A small task", "no " * 4000),
    # Steps and the names in them.
    "two steps of one name": task(step("look"), step("look")),
    "a step called the end": task(step("end")),
    "an id in capitals": task(step("Look")),
    "an instruction that is too long": task(step("look")).replace("Do look.", "do " * 60),
    "a mark that stands for nothing": task(step("look", "", "{confirm: <side> done}")),
    "a mark that stands for nothing in an id": task(step("look-<side>")),
    "a state that is set without an answer": task(
        "  - {id: look, instruction: Look., sets: {pin: removed}}\n"
    ),
    "a count without an answer": task(
        "  - {id: look, instruction: Look., counts_out: {ties: 1}}\n",
        more="counted: {ties: {called: harness ties, total: 6}}\n",
    ),
    "a count back without an answer": task(
        "  - {id: look, instruction: Look., counts_in: {ties: 1}}\n",
        more="counted: {ties: {called: harness ties, total: 6}}\n",
    ),
    "a wait without an answer": task(
        step("one"), "  - {id: look, instruction: Look., wait: {since: one, at_least: 5 s}}\n"
    ),
    "a deferral without an answer": task(
        "  - {id: look, instruction: Look., deferral: {authority: the engineer}}\n"
    ),
    "an inspection without an answer": task(
        "  - {id: look, instruction: Look., inspection: true}\n"
    ),
    "somebody without an answer": task("  - {id: look, instruction: Look., by: second person}\n"),
    "a read back of a phrase": task(step("look", "read_back: true")),
    "a read back by who said it": task(step("look", "read_back: true\nby: second person", READING)),
    "neither true nor false": task(step("look", "critical: perhaps")),
    "a role that there is not": task(step("look", "by: pilot")),
    "a time that is none": task(step("one"), step("look", "wait: {since: one, at_least: 5 days}")),
    "a wait for a later step": task(step("look", "wait: {since: two, at_least: 5 s}"), step("two")),
    "a way to nowhere": task(step("look", "then: {crack found: mend}", CHOICE)),
    "a way out that there is not": task(step("look", "then: {rust found: look}", CHOICE)),
    # States, conditions, counted things.
    "an unknown state": task(step("look", "sets: {door: open}")),
    "an unknown state, and there is none": task(step("look", "sets: {door: open}"), states=""),
    "an unknown value of a state": task(step("look", "sets: {pin: bent}")),
    "an unknown state is needed": task(step("look", "needs: {door: open}")),
    "all values but all of them": task(step("look", "needs: {pin: {not: [fitted, removed]}}")),
    "a value that is listed twice": _state("called: pin, values: [in, in], start: in, end: in"),
    "one value alone": _state("called: pin, values: [in], start: in, end: in"),
    "a value that is called unknown": _state(
        "called: pin, values: [in, unknown], start: in, end: in"
    ),
    "a start that is no value": _state("called: pin, values: [in, out], start: up, end: in"),
    "an end that is no value": _state("called: pin, values: [in, out], start: in, end: up"),
    "an unknown counted thing": task(step("look", "counts_out: {ties: 1}")),
    "an unknown counted thing beside one": task(
        step("look", "counts_out: {ties: 1}"),
        more="counted: {pins: {called: safety pins, total: 6}}\n",
    ),
    "no whole number": task(
        step("look"), more="counted: {pins: {called: safety pins, total: 1.5}}\n"
    ),
    "fewer than one": task(step("look"), more="counted: {pins: {called: safety pins, total: 0}}\n"),
    "an unknown tool": task(step("look", "uses: [wrench]")),
    "one phrase for two states": task(
        step("look", "sets: {pin: removed}", "{confirm: pin fitted}"),
        step("fit", "sets: {pin: fitted}", "{confirm: pin fitted}"),
    ),
    # What a step expects.
    "nothing that can be heard": _expects("listen: closely"),
    "two kinds of answer": _expects("confirm: look done, choose: [one, two]"),
    "a standard word confirms": _expects("confirm: affirm"),
    "a word of the tool confirms": _expects("confirm: hand over"),
    "a casual word confirms": _expects("confirm: okay"),
    "capitals in a phrase": _expects("confirm: Look done"),
    "one choice": _expects("choose: [all good]"),
    "a choice twice": _expects("choose: [all good, all good]"),
    "a required choice that there is not": _expects("choose: [all good, seal torn], required: ok"),
    "a quantity that there is not": _expects(
        "reading: colour, unit: red, resolution: 1, limits: {min: 1}"
    ),
    "a unit of another quantity": _reading("resolution: 1").replace("degC", "psi"),
    "no resolution": _reading("fractions: false"),
    "a resolution of nothing": _reading("resolution: 0"),
    "a resolution that is no number": _reading("resolution: fine"),
    "a resolution with too many figures": _reading("resolution: 1234567890123456789"),
    "a scale of no other unit": _reading(
        "resolution: 1, other_scales: [{unit: psi, resolution: 1}]"
    ),
    "a scale twice": _reading(
        "resolution: 1, other_scales: [{unit: degF, resolution: 1}, {unit: degF, resolution: 2}]"
    ),
    "a count on another scale": _expects(
        "reading: count, unit: each, resolution: 1, limits: {min: 1, max: 1}, "
        "other_scales: [{unit: psi, resolution: 1}]"
    ),
    "fractions of a scale without": _reading("resolution: 0.3, fractions: true"),
    "a slack between the steps": _reading("resolution: 2, agree_within: 3"),
    "a slack of a count": _expects(
        "reading: count, unit: each, resolution: 1, limits: {min: 1, max: 1}, agree_within: 1"
    ),
    "a part number with small letters": _expects("identity: part number, accept: [kd-47]"),
    # Limits.
    "limits without a limit": _limits(""),
    "limits the wrong way round": _limits("min: 20, max: 10"),
    "a table row without a limit": _limits("over: warm, table: [{at: 0}]", *TEMPERATURES),
    "a table that does not rise": task(
        *TEMPERATURES, step("look", "", over("warm").replace("at: 40", "at: 0"))
    ),
    "a table with one row": _limits("over: warm, table: [{at: 0, max: 9}]", *TEMPERATURES),
    "limits over a later step": task(step("look", "", over("warm")), *TEMPERATURES),
    "two ways to combine": _limits(
        "of: {difference: [this, first], sum: [this, first]}, max: 3", PRESSURE
    ),
    "no way to combine": _limits("of: {}, max: 3", PRESSURE),
    "a difference of three": _limits("of: {difference: [this, first, first]}, max: 3", PRESSURE),
    "this twice": _limits("of: {sum: [this, this]}, max: 3", PRESSURE),
    "this not at all": _limits("of: {sum: [first, first]}, max: 3", PRESSURE),
    "a reading twice": _limits("of: {sum: [this, first, first]}, max: 3", PRESSURE),
    "a spread with a lowest value": _limits("of: {spread: [this, first]}, min: 1", PRESSURE),
    "a spread below nothing": _limits("of: {spread: [this, first]}, max: -1", PRESSURE),
    "a combination without a limit": _limits("of: {spread: [this, first]}", PRESSURE),
    "a wrench the wrong way round": _torque(
        WRENCH.replace("2 N.m, max: 20", "20 N.m, max: 2") + "}"
    ),
    "a wrench in two units": _torque(WRENCH.replace("max: 20 N.m", "max: 200 lbf.in") + "}"),
    "a lever of nothing": _torque(WRENCH + ", lever: 0 in}"),
    "an extension without a lever": _torque(WRENCH + "}, extension: {length: 2 in}"),
    "an extension back past the grip": _torque(
        WRENCH + ", lever: 2 in}, extension: {length: 3 in, angle: 180}"
    ),
    "a torque without its unit": _torque(WRENCH.replace("5 N.m", "5") + "}"),
    "a torque in a unit of length": _torque(WRENCH.replace("5 N.m", "5 in") + "}"),
    "a torque in no unit": _torque(WRENCH.replace("5 N.m", "5 foo") + "}"),
}


def told(text: str) -> str:
    """What is told of this text."""
    try:
        read_task(text, "t.yaml")
    except TaskFileError as error:
        return str(error)
    return "nothing"


def all_told() -> str:
    """What is told of all texts, as the file has it."""
    return "\n".join(f"### {name}\n{told(text)}\n" for name, text in TEXTS.items())


def main() -> int:
    """Write the file anew."""
    TOLD.write_text(all_told(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
