"""The JSON Schema of a task file, for editors that complete and check while a person writes.

Draft 2020-12, made from the same models that read a task file. It is meant to take every file that
`check` takes, where numbers are plain, yes and no are `true` and `false`, and text that looks like
one of these is in quotes. It cannot take the place of `check`: what it does not know is listed in
its `$comment`.
"""

from collections.abc import Iterator
from typing import Any

from handsfree.task.branching import DURATION
from handsfree.task.file_model import IDENTIFIER, WORDS
from handsfree.task.limits.gases import GASES
from handsfree.task.model import Task
from handsfree.task.step import LONGEST_INSTRUCTION_WORDS
from handsfree.words.units import QUANTITIES, UNITS, Unit, said_as, units_of

SCHEMA_FILE = "handsfree-task.schema.json"  # what the starter calls it

ONLY_CHECK_KNOWS = (
    "that a name of a state, a variant, counted things, a value or a step exists, and that step "
    "ids are not used twice",
    "that limits do not cross, and that table rows rise and are complete",
    "that other readings are taken before, in the unit that is said of them, and that there are "
    "limits for all that they may be",
    "that some mark of the scale is inside the limits",
    "that a torque fits its wrench, and that an extension does not reach back past the grip",
    "that a fraction can be said on the scale, and that another scale has another unit",
    "that a phrase is no number and no standard word, and that a list has no item twice",
    "that start, end and required are among the values, the total or the choices",
    "that a step that sets, counts, waits or may be deferred expects something to be heard",
    "that an outcome in 'then' can happen, and that 'late' leads somewhere where it can",
    "that a mark such as <bolt> stands for an item of 'each'",
    "that a calibration date is a day, and of a tool that is calibrated",
    "that every way through the steps keeps every never rule, needs, count and required end, and "
    "comes to the end",
    "that no anchor, alias or repeated key is in the file",
    "that a task with a todo is only a draft",
)

Schema = dict[str, Any]  # JSON

_MARK = f"<{IDENTIFIER}>"
# A repeated step is written with marks, which `task/repeat.py` replaces before the models see it.
_WITH_MARKS = {
    f"^{WORDS}$": f"^([a-z]+|{_MARK})( ([a-z]+|{_MARK}))*$",
    f"^{IDENTIFIER}$": f"^([a-z][a-z0-9]*|{_MARK})(-([a-z0-9]+|{_MARK}))*$",
}


def task_schema() -> Schema:
    """A fresh copy of the schema."""
    schema: Schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$comment": "Only 'handsfree check' knows: " + "; ".join(ONLY_CHECK_KNOWS) + ".",
        **Task.model_json_schema(),
    }
    _mend(schema)
    parts = schema["$defs"]
    parts["ReadingExpected"]["properties"]["reading"]["enum"] = list(QUANTITIES)
    unit = parts["ReadingExpected"]["properties"]["unit"]
    unit["oneOf"] = [_unit_as_said(unit) for unit in UNITS.values()]
    parts["ReadingExpected"]["allOf"] = [_units_of(quantity) for quantity in QUANTITIES]
    parts["Step"]["properties"]["instruction"]["pattern"] = _at_most(LONGEST_INSTRUCTION_WORDS)
    for bounded in ("FixedLimits", "TableRow", "CombinedLimits", "DropLimits", "Fill"):
        parts[bounded]["anyOf"] = [{"required": ["min"]}, {"required": ["max"]}]
    wait = parts["Wait"]
    wait["anyOf"] = [{"required": ["at_least"]}, {"required": ["at_most"]}]
    for key in ("at_least", "at_most"):
        wait["properties"][key]["anyOf"][0]["pattern"] = f"^{DURATION}$"
    parts["Combination"] |= {"minProperties": 1, "maxProperties": 1}
    gas = parts["GasLimits"]["properties"]
    gas["gas"]["enum"] = list(GASES)
    drop = parts["DropLimits"]["properties"]
    drop["gas"]["anyOf"][0]["enum"] = list(GASES)
    for limits in (gas, drop):
        limits["over_unit"]["enum"] = [unit.symbol for unit in units_of("temperature")]
        limits["scale"]["enum"] = [
            f"{unit.symbol} {kind}"
            for unit in units_of("pressure")
            for kind in ("gauge", "absolute")
        ]
    for name in _within_a_step(parts):
        _let_marks_in(parts[name])
    return schema


def _mend(schema: Any) -> None:
    """Take out what an editor would show as noise, and close what pydantic leaves open."""
    match schema:
        case dict():
            if isinstance(schema.get("title"), str):
                del schema["title"]  # only the key again, in capitals
            if "number" in (kinds := _kinds(schema)) and "string" in kinds:
                schema["anyOf"] = [each for each in schema["anyOf"] if each.get("type") != "string"]
            if "patternProperties" in schema:
                schema["additionalProperties"] = False
            for part in schema.values():
                _mend(part)
        case list():
            for part in schema:
                _mend(part)


def _within_a_step(parts: Schema) -> set[str]:
    """The parts that a step is made of, where marks such as <bolt> can stand."""
    found: set[str] = set()
    waiting = ["Step"]
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += [ref.rpartition("/")[2] for ref in _references(parts[name])]
    return found


def _references(schema: Any) -> Iterator[str]:
    match schema:
        case dict():
            for key, part in schema.items():
                if key == "$ref":
                    yield part
                yield from _references(part)
        case list():
            for part in schema:
                yield from _references(part)


def _let_marks_in(schema: Any) -> None:
    match schema:
        case dict():
            if schema.get("pattern") in _WITH_MARKS:
                schema["pattern"] = _WITH_MARKS[schema["pattern"]]
            if "patternProperties" in schema:
                schema["patternProperties"] = {
                    _WITH_MARKS.get(pattern, pattern): part
                    for pattern, part in schema["patternProperties"].items()
                }
            for part in schema.values():
                _let_marks_in(part)
        case list():
            for part in schema:
                _let_marks_in(part)


def _kinds(schema: Schema) -> list[str | None]:
    return [each.get("type") for each in schema.get("anyOf", ())]


def _unit_as_said(unit: Unit) -> Schema:
    """An editor shows the text beside each unit."""
    said = ", ".join(f'"{each}"' for each in said_as(unit.symbol))
    return {"const": unit.symbol, "description": f"{unit.quantity}; said as {said}"}


def _units_of(quantity: str) -> Schema:
    units = [unit.symbol for unit in units_of(quantity)]
    return {
        "if": {"properties": {"reading": {"const": quantity}}, "required": ["reading"]},
        "then": {"properties": {"unit": {"enum": units}}},
    }


def _at_most(words: int) -> str:
    return rf"^\s*(\S+\s+){{0,{words - 1}}}\S+\s*$"
