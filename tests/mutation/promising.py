"""Which files of tests are most likely to notice a change, so that the others need not be read.

To collect all tests of a folder takes longer than most of them run. So a few files are tried alone
first: those that noticed other changes of the module or of the folder, and those that are about it.
"""

from collections import Counter, defaultdict
from pathlib import Path

_FILES = 3  # that are tried alone


class Promising:
    """What has noticed changes so far."""

    def __init__(self) -> None:
        self._of_module: defaultdict[Path, Counter[str]] = defaultdict(Counter)
        self._of_folder: defaultdict[Path, Counter[str]] = defaultdict(Counter)

    def noticed(self, module: Path, file: str) -> None:
        """This file of tests has noticed a change of the module."""
        self._of_module[module][file] += 1
        self._of_folder[Path(*module.parts[:2])][file] += 1

    def split(self, module: Path, names: list[str]) -> tuple[list[str], list[str]]:
        """The tests of the most promising files, and all others; each in their order."""
        files = list(dict.fromkeys(each.partition("::")[0] for each in names))
        about = f"test_{module.stem}.py"
        of_module = self._of_module[module]
        of_folder = self._of_folder[Path(*module.parts[:2])]
        files.sort(key=lambda each: (-of_module[each], Path(each).name != about, -of_folder[each]))
        first = set(files[:_FILES])
        tried = [each for each in names if each.partition("::")[0] in first]
        return tried, [each for each in names if each.partition("::")[0] not in first]
