"""A process that calls pytest as often as it is told to, each time in a child of its own.

A child has pytest and what the product is built on from its parent, which takes longer to import
than most tests run. Nothing of the product is imported here: each child has it as it is then.

Reads and writes a line of JSON for each call; see `Order` and `Answer`.
"""

import importlib
import json
import os
import signal
import sys
from typing import TypedDict

import pytest

_OF_OTHERS = ("hypothesis", "msgspec", "numpy", "pint", "pydantic", "rich", "soundfile", "typer")


class Order(TypedDict):
    """What to call."""

    arguments: list[str]  # of pytest
    environment: dict[str, str]  # added to that of this process
    output: str  # the file that takes what is shown
    seconds: int  # after which the child is ended


class Answer(TypedDict):
    """What came of it."""

    status: int  # of pytest; negative: the signal that ended it


def main() -> int:
    """Answer until there are no more orders."""
    for name in _OF_OTHERS:
        importlib.import_module(name)
    for line in sys.stdin:
        order: Order = json.loads(line)
        child = os.fork()
        if not child:
            os._exit(_called(order))
        answer = Answer(status=os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
        print(json.dumps(answer), flush=True)
    return 0


def _called(order: Order) -> int:
    signal.alarm(order["seconds"])
    os.environ.update(order["environment"])
    shown = os.open(order["output"], os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    nothing = os.open(os.devnull, os.O_RDONLY)
    for own, name in ((nothing, 0), (shown, 1), (shown, 2)):
        os.dup2(own, name)
    return int(pytest.main(order["arguments"]))


if __name__ == "__main__":
    raise SystemExit(main())
