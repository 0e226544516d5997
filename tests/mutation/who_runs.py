"""A pytest plugin: which tests run each line. Loaded by `tests.mutation` only.

A test that uses a fixture of its module runs what that fixture ran, although only the first such
test set it up; so those lines are written down for all tests of the file. What the product keeps,
with `functools`, is forgotten before each test: else only the first would run what all rely on.
"""

import functools
import json
import os
import time
from collections import defaultdict
from collections.abc import Callable, Generator
from pathlib import Path
from typing import Any

import coverage
import pytest

WRITTEN_TO = "MUTATION_WHO_RUNS"  # names the file, in the environment
IMPORTING = ""  # who runs what runs when a module is imported


class Kept:
    """What the product keeps from one call to the next."""

    def __init__(self) -> None:
        self._forget: list[Callable[[], object]] = []
        self._properties: list[tuple[dict[str, Any], str]] = []

    def watch(self) -> None:
        """Take the place of what `functools` offers, before the product is imported."""
        kept, lru_cache = self, functools.lru_cache

        def watched(maxsize: Any = 128, typed: bool = False) -> Any:
            decorated = lru_cache(maxsize, typed)
            if callable(maxsize):
                return kept.remember(decorated)
            return lambda function: kept.remember(decorated(function))

        class Watched(functools.cached_property[Any]):
            def __get__(self, instance: Any, owner: type[Any] | None = None) -> Any:
                value = super().__get__(instance, owner)
                if instance is not None and self.attrname is not None:
                    kept._properties.append((instance.__dict__, self.attrname))
                return value

        Watched.__module__ = "functools"  # what pydantic knows it by
        functools.lru_cache = watched
        functools.cache = watched(None)
        functools.cached_property = Watched  # type: ignore[misc]

    def remember(self, function: Any) -> Any:
        """`function`, with its results to be forgotten."""
        if function.__module__.startswith("handsfree"):
            self._forget.append(function.cache_clear)
        return function

    def forget(self) -> None:
        """All of it."""
        for each in self._forget:
            each()
        for values, name in self._properties:
            values.pop(name, None)
        self._properties.clear()


class WhoRuns:
    """Measures while the tests run, and writes it down at the end."""

    def __init__(self, to: Path, root: Path) -> None:
        self._to = to
        self._root = root
        self._kept = Kept()
        self._kept.watch()
        self._coverage = coverage.Coverage(data_file=None, source=["handsfree"])
        self._seconds: dict[str, float] = {}
        self._failed: set[str] = set()
        self._coverage.start()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, Any, Any]:
        self._kept.forget()
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
