"""A pytest plugin: which files of tests run each line. Loaded by `tests.mutation` only.

Not which tests: what a fixture sets up, or the product keeps with `functools`, is run by the first
test that needs it, and all others of the file live on it. So that no file lives on what another one
ran, what is kept is forgotten before each.
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
IMPORTING = ""  # what runs when a module is imported is there for every file


class Kept:
    """What the product, and what tests share, keep from one call to the next."""

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
        if function.__module__.startswith(("handsfree", "tests")):
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
        self._file = IMPORTING
        self._coverage.start()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, Any, Any]:
        file = item.nodeid.partition("::")[0]
        if file != self._file:
            self._file = file
            self._kept.forget()
            self._coverage.switch_context(file)
        begun = time.process_time()
        result = yield
        self._seconds[item.nodeid] = time.process_time() - begun
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


@pytest.hookimpl(tryfirst=True)
def pytest_load_initial_conftests(early_config: pytest.Config) -> None:
    """Before any `conftest.py`, which imports much of the product: that runs lines too."""
    to = Path(os.environ[WRITTEN_TO])
    early_config.pluginmanager.register(WhoRuns(to, early_config.rootpath))
