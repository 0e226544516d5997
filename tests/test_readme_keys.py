"""The README names every command, every option of it, and every key of a task file."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer.main

from handsfree.authoring.schema import task_schema
from handsfree.cli.app import app

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
CODE = "\n".join(re.findall(r"```.*?```|`[^`\n]+`", README, re.DOTALL))
OF_THE_SHELL = {"--help", "--install-completion", "--show-completion"}


def commands(command: Any, name: str) -> Iterator[tuple[str, Any]]:
    yield name, command
    for each, below in getattr(command, "commands", {}).items():
        yield from commands(below, f"{name} {each}")


ALL = dict(commands(typer.main.get_command(app), "handsfree"))


@pytest.mark.parametrize("name", ALL)
def test_every_command_is_in_the_readme(name: str) -> None:
    assert hasattr(ALL[name], "commands") or f"`{name}" in README


@pytest.mark.parametrize("name", ALL)
def test_every_option_is_in_the_readme(name: str) -> None:
    options = {each for given in ALL[name].params for each in given.opts if each.startswith("--")}
    for option in options - OF_THE_SHELL:
        assert re.search(rf"{option}(?![a-z-])", CODE), option


def test_every_key_of_a_task_file_is_in_the_readme() -> None:
    schema = task_schema()
    for part in (schema, *schema["$defs"].values()):
        for key in part.get("properties", {}):
            assert re.search(rf"\b{key}\b", CODE), key
