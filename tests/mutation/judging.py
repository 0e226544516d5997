"""Whether a test fails where one change stands in a copy of the project."""

import json
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Self

from tests.mutation.learning import PYTEST_ARGUMENTS, Learnt, in_its_own
from tests.mutation.mutants import Mutant
from tests.mutation.only import NAMED_IN
from tests.mutation.promising import Promising
from tests.mutation.warm import Answer, Order

_STARTING_S = 60  # of pytest, on a busy machine
_FAILED = re.compile(r"(?:FAILED|ERROR) (\S+?\.py)")  # as pytest tells it
_TIMES_SLOWER = 10  # than without the change: it never ends


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the tests say of a mutant."""

    mutant: Mutant
    killed: bool
    why: str


class Judge:
    """One copy of the project, and a process that runs tests in it."""

    def __init__(self, copy: Path, promising: Promising) -> None:
        self._copy = copy
        self._promising = promising
        self._output = copy.parent / f"{copy.name}.txt"
        self._warm = subprocess.Popen(
            [sys.executable, "-m", "tests.mutation.warm"],
            cwd=copy,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        assert self._warm.stdin is not None
        self._warm.stdin.close()
        self._warm.wait()

    @property
    def copy(self) -> Path:
        """Where the copy is."""
        return self._copy

    def judge(self, mutant: Mutant, tests: Learnt) -> Verdict:
        """Whether a test fails where `mutant` stands in the copy, which is mended afterwards."""
        chosen = tests.of(mutant)
        file = self._copy / mutant.module
        before = file.read_text(encoding="utf-8")
        self._write(file, mutant.code)
        try:
            first, others = self._promising.split(mutant.module, chosen)
            killed_by = self._killed_by(first, tests) or self._killed_by(others, tests)
        finally:
            self._write(file, before)
        if failed := _FAILED.match(killed_by):
            self._promising.noticed(mutant.module, failed[1])
        return Verdict(mutant, bool(killed_by), killed_by or f"{len(chosen)} tests run it")

    def _write(self, file: Path, code: str) -> None:
        file.write_text(code, encoding="utf-8")
        # Python tells what it compiled by second and size, and a change can leave both as they are.
        for each in (file.parent / "__pycache__").glob(f"{file.stem}.*.pyc"):
            each.unlink()

    def _killed_by(self, names: list[str], tests: Learnt) -> str:
        """What is noticed by the tests that are named; empty: nothing."""
        if not names:
            return ""
        named = self._copy.parent / f"{self._copy.name}.json"
        named.write_text(json.dumps(names), encoding="utf-8")
        files = sorted({each.partition("::")[0] for each in names})
        seconds = _STARTING_S + _TIMES_SLOWER * sum(tests.seconds[each] for each in names)
        arguments = (*PYTEST_ARGUMENTS, "-x", "-p", "tests.mutation.only", in_its_own(self._copy))
        order = Order(
            arguments=[*arguments, *files],
            environment={NAMED_IN: str(named)},
            output=str(self._output),
            seconds=round(seconds),
        )
        status = self._status_of(order)
        if status == 0:
            return ""
        shown = self._output.read_text(encoding="utf-8", errors="replace")
        if status in (4, 5):  # pytest was called wrongly, or found no test
            raise SystemExit(f"pytest could not be started:\n{shown}")
        if status < 0:
            return "never ends"
        failed = [each for each in shown.splitlines() if each.startswith(("FAILED", "ERROR"))]
        return failed[0] if failed else "the tests break off"

    def _status_of(self, order: Order) -> int:
        assert self._warm.stdin is not None
        assert self._warm.stdout is not None
        self._warm.stdin.write(json.dumps(order) + "\n")
        self._warm.stdin.flush()
        answer: Answer = json.loads(self._warm.stdout.readline())
        return answer["status"]
