"""What may stand in a task file, key by key, as its JSON Schema says it. It is in `keys.txt`.

To make the file anew after a change on purpose, run this file as a module; read the difference
before you keep it: a key that is gone, or takes less, is in somebody's task file.
"""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from handsfree.task.model import Task

KEPT = Path(__file__).with_suffix(".txt")

# What of a schema is told by the kind of value, or is for people only.
_TOLD = {"title", "description", "default", "type", "format", "$ref", "anyOf", "oneOf", "items"}
_TOLD |= {"patternProperties", "additionalProperties", "enum", "const", "pattern"}
_PATTERNS = {
    "^[a-z][a-z0-9]*(-[a-z0-9]+)*$": "identifier",
    "^[a-z]+( [a-z]+)*$": "words",
    "^[A-Z0-9]+(-[A-Z0-9]+)*$": "capitals and figures",
    r"^-?[0-9]{1,9}(\.[0-9]{1,9})? [A-Za-z.]+$": "number and unit",
}


def schema_of_parts() -> dict[str, dict[str, Any]]:
    """The schema of each part of a task file, by the name of its model."""
    schema = Task.model_json_schema()
    return {"Task": schema, **schema["$defs"]}


def keys() -> str:
    """Every part of a task file, and each key of it: what it takes, and what it is without it."""
    parts = ("\n".join(_part(name, part)) for name, part in schema_of_parts().items())
    return "\n\n".join(parts) + "\n"


def _part(name: str, part: dict[str, Any]) -> Iterator[str]:
    no_others = part.get("additionalProperties") is False
    yield name if no_others else f"{name}, and any other keys"
    for key, value in part["properties"].items():
        default = f" = {value['default']}" if "default" in value else ""
        needed = ", needed" if key in part.get("required", ()) else ""
        yield f"  {key}: {_told(value)}{default}{needed}"


def _told(value: Any) -> str:
    bounds = [f"{key} {bound}" for key, bound in value.items() if key not in _TOLD]
    return ", ".join((_kind(value), *bounds))


def _kind(value: Any) -> str:
    match value:
        case {"$ref": named}:
            return str(named).removeprefix("#/$defs/")
        case {"anyOf": ways} | {"oneOf": ways}:
            return " or ".join(map(_told, ways))
        case {"enum": values}:
            return " or ".join(map(repr, values))
        case {"type": "array", "items": items}:
            return f"list of ({_told(items)})"
        case {"type": "object", "patternProperties": by_name}:
            names = (f"{_pattern(name)}: {_told(named)}" for name, named in by_name.items())
            return f"({', '.join(names)})"
        case {"type": "string", "pattern": pattern}:
            return _pattern(pattern)
    return f"{value['type']} {value.get('format', '')}".rstrip()


def _pattern(pattern: str) -> str:
    return _PATTERNS.get(pattern, pattern)


def main() -> int:
    """Write the file anew."""
    KEPT.write_text(keys(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
