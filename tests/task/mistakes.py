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


def _drop(limits: str) -> str:
    return _limits(limits, PRESSURE, *TEMPERATURES)


def _expect_gas(limits: str) -> str:
    return f"{{reading: pressure, unit: bar, resolution: 1, limits: {{{limits}}}}}"


def _gas(limits: str) -> str:
    return task(*TEMPERATURES, step("look", "", _expect_gas(limits)))


GAUGE = "reading: pressure, unit: psi, limits: {max: 9}"
TEMPERATURES = (step("warm", "", READING), step("cold", "", READING))
PRESSURE = step("first", "", f"{{{GAUGE}, resolution: 1}}")
DROP = "drop_from: first, over: [warm, cold], over_unit: degC, scale: psi gauge, max: 4"
GAS = (
    "gas: nitrogen, over: warm, over_unit: degC, fill: {at: 20 degC, min: 20 bar, max: 30 bar}, "
    "scale: bar gauge"
)
TOOL = "equipment: [{name: Torque wrench, id: wrench, calibrated: true}]\n"
NUMBER = step("number", "", "{identity: number, tool: wrench}")
DATE = step("due", "then: {expired: number}", "{date: calibration due, tool: wrench}")
COUNT = "{reading: count, unit: each, resolution: 1, limits: {min: 1, max: 1}}"
EIGHTY = ", ".join(f"{one}{other}" for one in "abcdefgh" for other in "abcdefghij")
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
    "a torque of nothing": _torque(WRENCH.replace("min: 5 N.m", "min: 0 N.m") + "}"),
    "a torque the wrong way round": _torque(WRENCH.replace("5 N.m, max: 9", "9 N.m, max: 5") + "}"),
    "a wrench that is too small": _torque(WRENCH.replace("20 N.m", "4 N.m") + "}"),
    "a wrench that is too large": _torque(WRENCH.replace("20 N.m", "100 N.m") + "}"),
    "a wrench from below nothing": _torque(
        WRENCH.replace("wrench: {min: 2", "wrench: {min: -2") + "}"
    ),
    "a wrench of one torque": _torque(WRENCH.replace("wrench: {min: 2", "wrench: {min: 20") + "}"),
    "an extension of nothing": _torque(WRENCH + ", lever: 9 in}, extension: {length: 0 in}"),
    "an extension that is turned too far": _torque(
        WRENCH + ", lever: 9 in}, extension: {length: 1 in, angle: 181}"
    ),
    "an extension as far back as the grip": _torque(
        WRENCH + ", lever: 3 in}, extension: {length: 3 in, angle: 180}"
    ),
    "a torque wrench that is set in another unit": _torque(WRENCH.replace("N.m", "lbf.in") + "}"),
    "a prevailing torque that nobody measures": _torque(
        WRENCH + "}, prevailing: {over: first, with_extension: false}"
    ),
    "a table with a limit in some rows": task(
        *TEMPERATURES, step("look", "", over("warm").replace("min: 300, ", ""))
    ),
    "a table over what may leave it": task(
        step("warm", "", READING.replace("max: 40", "max: 41")), step("look", "", over("warm"))
    ),
    "a drop of one step named twice": _drop(DROP.replace("[warm, cold]", "[warm, warm]")),
    "a drop in no air": _drop(DROP + ", ambient: 0 bar"),
    "a drop of a gas that nobody knows": _drop(DROP + ", gas: phlogiston"),
    "a drop on a scale of no kind": _drop(DROP.replace("psi gauge", "psi")),
    "a drop over no temperatures": _drop(DROP.replace("degC", "psi")),
    "a drop on another scale": _drop(DROP.replace("psi gauge", "bar gauge")),
    "a drop of a later reading": _limits(DROP, *TEMPERATURES),
    "a drop over one temperature": _drop(DROP.replace("[warm, cold]", "[warm]")),
    "a gas in no air": _gas(GAS + ", ambient: 0 bar"),
    "a gas that nobody knows": _gas(GAS.replace("nitrogen", "phlogiston")),
    "a fill without a pressure": _gas(GAS.replace(", min: 20 bar, max: 30 bar", "")),
    "a fill the wrong way round": _gas(GAS.replace("min: 20", "min: 40")),
    "a fill too cold to be known": _gas(GAS.replace("20 degC", "-90 degC")),
    "a fill denser than is known": _gas(GAS.replace("max: 30", "max: 3000")),
    "a fill below vacuum": _gas(GAS.replace("min: 20", "min: -20")),
    "a fill at no temperature": _gas(GAS.replace("20 degC", "20")),
    "a gas over another unit": _gas(GAS.replace("over_unit: degC", "over_unit: degF")),
    "a gas over what may be too cold": task(
        step("warm", "", READING.replace("min: 0", "min: -60")), step("look", "", _expect_gas(GAS))
    ),
    "a gas over what has no limit": task(
        step("warm", "", READING.replace(", max: 40", "")), step("look", "", _expect_gas(GAS))
    ),
    "a temperature below absolute zero": task(
        step("warm", "", READING.replace("min: 0", "min: -273.16"))
    ),
    "a table of temperatures below absolute zero": _expects(
        "reading: temperature, unit: degC, resolution: 1, limits: {over: warm, "
        "table: [{at: 0, min: -300}, {at: 40, min: 0}]}",
        *TEMPERATURES,
    ),
    "a step called as its own reading": task(step("this", "", READING)),
    # Two persons, tools, dates.
    "a slack that nobody reads back": _reading("resolution: 1, agree_within: 1"),
    "an inspector who works": task(step("look", "by: inspector")),
    "a number read again of no tool": _expects("identity: number, again: true"),
    "a number read again of a list": task(
        NUMBER,
        step("again", "", "{identity: number, tool: wrench, again: true, accept: [K-1]}"),
        more=TOOL,
    ),
    "a number read again that nobody read": task(
        step("again", "", "{identity: number, tool: wrench, again: true}"), more=TOOL
    ),
    "a number that is read twice": task(NUMBER, NUMBER.replace("number", "other"), more=TOOL),
    "a date that is read twice": task(NUMBER, DATE, DATE.replace("id: due", "id: over"), more=TOOL),
    "a date before its number": task(DATE.replace("{expired: number}", "end"), more=TOOL),
    "a date that leads on with the old tool": task(
        NUMBER, DATE.replace("expired: number", "expired: end"), more=TOOL
    ),
    "a date that leads nowhere where it is over": task(
        NUMBER, step("due", "", "{date: calibration due, tool: wrench}"), more=TOOL
    ),
    "a date of a tool that has none": task(
        NUMBER, DATE, more=TOOL.replace("calibrated: true", "calibrated: false")
    ),
    "a tool that is used unread": task(step("use", "uses: [wrench]"), more=TOOL),
    "a tool that is used undated": task(NUMBER, step("use", "uses: [wrench]"), more=TOOL),
    "a date of no calibration": task(
        step("look"), more="equipment: [{name: Socket, calibration_due: 2031-05-04}]\n"
    ),
    "a date written otherwise": task(
        step("look"),
        more="equipment: [{name: Wrench, calibrated: true, calibration_due: 4 May 2031}]\n",
    ),
    "a day that there is not": task(
        step("look"),
        more="equipment: [{name: Wrench, calibrated: true, calibration_due: 2031-02-30}]\n",
    ),
    "a tool of one id with another": task(
        step("look"), more="equipment: [{name: A, id: wrench}, {name: B, id: wrench}]\n"
    ),
    "a tool called as what is counted": task(
        step("look"),
        more="equipment: [{name: A, id: ties}]\ncounted: {ties: {called: ties, total: 6}}\n",
    ),
    "an unknown tool beside one": task(NUMBER.replace("tool: wrench", "tool: torque"), more=TOOL),
    "counted tools that there are not": task(
        step("look"), more="counted: {ties: {called: ties, total: 6, tools: [wrench]}}\n"
    ),
    "one number for two things": task(
        step("look", "counts_in: {ties: 1, pins: 1}", COUNT),
        more="counted: {ties: {called: ties, total: 1}, pins: {called: pins, total: 1}}\n",
    ),
    "another number than is counted": task(
        step("look", "counts_in: {ties: 2}", COUNT),
        more="counted: {ties: {called: ties, total: 2, start: 2}}\n",
    ),
    "more out at the start than there are": task(
        step("look"), more="counted: {ties: {called: ties, total: 2, start: 3}}\n"
    ),
    "fewer than none at the end": task(
        step("look"), more="counted: {ties: {called: ties, total: 2, end: -1}}\n"
    ),
    # What else a file may hold.
    "an empty file": "",
    "an empty file but for a remark": "# nothing\n",
    "a name that is no text": HEAD + "? [a, b]\n: c\n",
    "nothing, in a sign": task(step("look")).replace("A small task", "~"),
    "nothing, in a word": task(step("look")).replace("A small task", "null"),
    "half a character of the lower half": task(step("look")).replace("A small task", '"\\udfff"'),
    "a never rule without its case": task(
        step("look"), more="never: [{when: {}, because: it can move}]\n"
    ),
    "a step for each of three lists": task(step("look", "each: {a: [one], b: [two], c: [three]}")),
    "a step for each of nothing": task(step("look", "each: {a: []}")),
    "more steps than a shift can do": task(
        step("look", f"each: {{a: [{EIGHTY}], b: [{EIGHTY}]}}", "{confirm: look at <a> <b>}")
    ),
    "a share of all": task(step("look"), more="hearing: {wrong_below: 1, at_snr: 10}\n"),
    "a share of none": task(step("look"), more="hearing: {wrong_below: 0, at_snr: 10}\n"),
    "more noise than speech can be in": task(
        step("look"), more="hearing: {wrong_below: 0.1, at_snr: -21}\n"
    ),
    "less noise than anywhere": task(
        step("look"), more="hearing: {wrong_below: 0.1, at_snr: 61}\n"
    ),
    "a share that never ends": task(
        step("look"), more="hearing: {wrong_below: .inf, at_snr: 10}\n"
    ),
    "a draft": task(step("look", "todo: [Find the torque., Ask for it.]")),
    "a choice called as an outcome": _expects("choose: [late, early]"),
    "a unit that there is not": _reading("resolution: 1").replace("degC", "kelvin"),
    "a quantity as a list": _reading("resolution: 1").replace("temperature,", "[temperature],"),
    "a step in place of steps": HEAD + "steps: {id: look, instruction: Look.}\n",
    "a list in place of a number": _reading("resolution: [1]"),
    "a list in place of yes and no": _reading("resolution: 1, fractions: [true]"),
    "a list in place of a whole number": task(
        step("look"), more="counted: {ties: {called: ties, total: [1]}}\n"
    ),
    "a number too large to count": task(
        step("look"), more=f"counted: {{ties: {{called: ties, total: 1{'0' * 5000}}}}}\n"
    ),
    "a list in place of a date": task(
        step("look"), more="equipment: [{name: A, calibrated: true, calibration_due: [a]}]\n"
    ),
    "a wrong value that is very long": _reading(f"resolution: {'fine' * 30}"),
    "a phrase that nobody remembers": _expects(f"confirm: {'pin ' * 13}in"),
    "a word that nobody can say": task(step("look")).replace("A small task", "o" * 61),
    "a state called as a variant": task(step("look"), more="variants: {pin: [left, right]}\n"),
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
