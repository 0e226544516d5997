"""A pytest plugin: which tests run each line. Loaded by `tests.mutation` only.

A test that uses a fixture of its module runs what that fixture ran, although only the first such
test set it up; so those lines are written down for all tests of the file.
"""

import json
import os
import time
from collections import defaultdict
from collections.abc import Generator
from pathlib import Path
from typing import Any

import coverage
import pytest

WRITTEN_TO = "MUTATION_WHO_RUNS"  # names the file, in the environment
IMPORTING = ""  # who runs what runs when a module is imported


class WhoRuns:
    """Measures while the tests run, and writes it down at the end."""

    def __init__(self, to: Path, root: Path) -> None:
        self._to = to
        self._root = root
        self._coverage = coverage.Coverage(data_file=None, source=["handsfree"])
        self._seconds: dict[str, float] = {}
        self._failed: set[str] = set()
        self._coverage.start()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, Any, Any]:
        self._coverage.switch_context(item.nodeid)
        begun = time.process_time()
        result = yield
        self._seconds[item.nodeid] = time.process_time() - begun
        self._coverage.switch_context(IMPORTING)
        return result

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(
        self, fixturedef: pytest.FixtureDef[Any], request: pytest.FixtureRequest
    ) -> Generator[None, Any, Any]:
        shared = fixturedef.scope != "function"
        before = os.environ.get("PYTEST_CURRENT_TEST", "").rpartition(" ")[0]
        if shared:
            self._coverage.switch_context(request.node.nodeid)
        result = yield
        if shared:
            self._coverage.switch_context(before)
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self._failed.add(report.nodeid)

    def pytest_sessionfinish(self) -> None:
        self._coverage.stop()
        data = self._coverage.get_data()
        runs: dict[str, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
        for file in data.measured_files():
            module = str(Path(file).relative_to(self._root))
            for line, contexts in data.contexts_by_lineno(file).items():
                for each in contexts:
                    runs[module][each].append(line)
        passed = {each: s for each, s in self._seconds.items() if each not in self._failed}
        found = {"seconds": passed, "runs": runs, "failed": sorted(self._failed)}
        self._to.write_text(json.dumps(found), encoding="utf-8")


def pytest_configure(config: pytest.Config) -> None:
    config.pluginmanager.register(WhoRuns(Path(os.environ[WRITTEN_TO]), config.rootpath))
