"""The JSON Schema of a task file, for editors that complete and check while a person writes.

Draft 2020-12, made from the same models that read a task file. It is meant to take every file that
`check` takes, where numbers are plain, yes and no are `true` and `false`, and text that looks like
one of these is in quotes. It cannot take the place of `check`: what it does not know is listed in
its `$comment`.
"""

from typing import Any

from handsfree.task.model import LONGEST_INSTRUCTION_WORDS, Task
from handsfree.words.units import QUANTITIES, units_of

SCHEMA_FILE = "handsfree-task.schema.json"  # what the starter calls it

ONLY_CHECK_KNOWS = (
    "that a name of a state, a value or a step exists, and that step ids are not used twice",
    "that limits do not cross, and that table rows rise and are complete",
    "that a table covers all that the other reading may be, and that it is read before",
    "that a phrase is no number and no standard word, and that a list has no item twice",
    "that start, end and required are among the values or choices",
    "that a step that sets a state expects something to be heard",
    "that the steps in order keep every never rule, needs and required end",
    "that no anchor, alias or repeated key is in the file",
    "that a task with a todo is only a draft",
)

Schema = dict[str, Any]  # JSON


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
    parts["ReadingExpected"]["allOf"] = [_units_of(quantity) for quantity in QUANTITIES]
    parts["Step"]["properties"]["instruction"]["pattern"] = _at_most(LONGEST_INSTRUCTION_WORDS)
    for bounded in ("FixedLimits", "TableRow"):
        parts[bounded]["anyOf"] = [{"required": ["min"]}, {"required": ["max"]}]
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


def _kinds(schema: Schema) -> list[str | None]:
    return [each.get("type") for each in schema.get("anyOf", ())]


def _units_of(quantity: str) -> Schema:
    units = [unit.symbol for unit in units_of(quantity)]
    return {
        "if": {"properties": {"reading": {"const": quantity}}, "required": ["reading"]},
        "then": {"properties": {"unit": {"enum": units}}},
    }


def _at_most(words: int) -> str:
    return rf"^\s*(\S+\s+){{0,{words - 1}}}\S+\s*$"
