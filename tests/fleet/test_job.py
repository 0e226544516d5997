from collections.abc import Hashable
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from enum import Enum

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.fleet import Job, content_key
from handsfree.words.phrases import BUILT_IN, PhraseSet
from tests.fleet.work import Number, fail, square


class Colour(Enum):
    RED = "red"
    DARK = "red, darker"


@dataclass(frozen=True)
class Another:
    number: int


PLAIN = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False)
    | st.text()
    | st.binary()
    | st.decimals(allow_nan=False)
    | st.timedeltas(),
    lambda inner: st.tuples(inner, inner) | st.frozensets(inner, max_size=3) | st.tuples(inner),
    max_leaves=6,
)


def told_apart(value: object) -> Hashable:
    """The value as the key must tell it apart: 1, 1.0, true and Decimal 1 are four."""
    if isinstance(value, tuple):
        return ("tuple", *map(told_apart, value))
    if isinstance(value, frozenset):
        return ("set", frozenset(map(told_apart, value)))
    return (type(value).__name__, repr(value))


@given(PLAIN, PLAIN)
def test_equal_content_and_nothing_else_has_an_equal_key(one: object, other: object) -> None:
    assert (content_key(one) == content_key(other)) == (told_apart(one) == told_apart(other))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("ab", "c"), ("a", "bc")),
        ((1, (2, 3)), ((1, 2), 3)),
        (Number(1), Another(1)),
        (Colour.RED, Colour.DARK),
        (Decimal("1.0"), Decimal("1.00")),
        (np.zeros(2, np.float32), np.zeros(2, np.int32)),
        (np.zeros((2, 3)), np.zeros((3, 2))),
        (timedelta(seconds=1), timedelta(seconds=2)),
        ({"a": 1}, {"a": 2}),
    ],
)
def test_what_differs_in_meaning_has_another_key(one: object, other: object) -> None:
    assert content_key(one) != content_key(other)


def test_what_a_phrase_set_has_computed_meanwhile_changes_no_key() -> None:
    fresh, used = PhraseSet(BUILT_IN["number"].phrases), PhraseSet(BUILT_IN["number"].phrases)
    assert used.vocabulary
    assert content_key(fresh) == content_key(used)


def test_another_function_or_another_number_is_another_job() -> None:
    keys = {Job(square, Number(1)).key, Job(fail, Number(1)).key, Job(square, Number(2)).key}
    assert len(keys) == 3
    assert Job(square, Number(1)).key in keys


@pytest.mark.parametrize("value", [object(), open, Number])
def test_what_is_no_data_is_no_job(value: object) -> None:
    with pytest.raises(TypeError, match=r"a job is described by data, and a .* is none"):
        content_key((value,))
