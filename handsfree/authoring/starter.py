"""The starter: a commented task file that passes `check` and cannot be taken for a real one."""

from pathlib import Path

from handsfree.authoring.names import as_identifier
from handsfree.authoring.new_file import TaskFileNotWritten
from handsfree.authoring.schema import SCHEMA_FILE

_WITH_SCHEMA = f"# yaml-language-server: $schema={SCHEMA_FILE}\n"
_HOW_TO_GET_ONE = (
    f"# For help in an editor, run: handsfree schema > {SCHEMA_FILE}\n"
    f"# in this folder, and make the first line: # yaml-language-server: $schema={SCHEMA_FILE}\n"
)


def task_id(path: Path) -> str:
    """The name of the task in a file of this name, such as "door-pin" for `Door pin.yaml`.

    Raises TaskFileNotWritten where the name leaves no letter or figure for it.
    """
    name = as_identifier(path.stem)
    if not name:
        raise TaskFileNotWritten(
            f"{path}: no name for the task is in it. Use letters and figures, as in door-pin.yaml."
        )
    return name


def starter_for(path: Path) -> str:
    """The text of the starter. It names a schema only where one lies beside `path`."""
    template = Path(__file__).with_name("starter.yaml").read_text(encoding="utf-8")
    has_schema = (path.parent / SCHEMA_FILE).is_file()
    head = _WITH_SCHEMA if has_schema else _HOW_TO_GET_ONE
    return head + template.replace("{{ task }}", task_id(path))
