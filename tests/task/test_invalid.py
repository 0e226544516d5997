"""What stands in the wrong place of a file is told in an author's words, never in pydantic's."""

import copy
import json
import re
from collections.abc import Iterator
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from handsfree.task.source import read_source
from tests.how_many import examples
from tests.task.authored.faulty import TEXTS

DOCUMENT: Any = read_source(TEXTS["leak"], "leak.yaml").value
# Words of pydantic's messages, and of Python's types.
FOREIGN = re.compile(
    r"\b(?:input|should|valid|validation|dictionary|instance|tuple|string|nonetype|dict|schema)\b"
)
WRONG: st.SearchStrategy[Any] = st.sampled_from(
    [None, "", "x", "-1", "1e9", "true", "2031-13-40", [], ["a"], [["a"]], [{}], {}, {"a": "b"}]
)

Path = tuple[str | int, ...]


def paths(value: Any, path: Path = ()) -> Iterator[Path]:
    """The place of everything in a document."""
    yield path
    if isinstance(value, dict | list):
        for key in value if isinstance(value, dict) else range(len(value)):
            yield from paths(value[key], (*path, key))


PATHS = tuple(paths(DOCUMENT))[1:]


@settings(max_examples=examples(60), deadline=None)
@given(st.sampled_from(PATHS), WRONG)
def test_what_stands_in_the_wrong_place_is_told_in_an_authors_words(path: Path, wrong: Any) -> None:
    document = copy.deepcopy(DOCUMENT)
    part = document
    for key in path[:-1]:
        part = part[key]
    part[path[-1]] = wrong
    told = ""
    try:
        read_task(json.dumps(document), "t.yaml")
    except TaskFileError as error:
        told = " ".join(each.what.partition("Known here")[0] for each in error.problems)
    assert not FOREIGN.search(told.lower()), told
