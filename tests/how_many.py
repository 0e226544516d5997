"""How many of very many cases a test tries: each time a part of them, and all in `.ci/run`.

Where each case is as good as another, a part notices most of what all would.
"""

import pytest
from hypothesis import settings

_ALL = 100  # what Hypothesis draws where nobody says otherwise, and what `.ci/run` has it draw


def examples(most: int) -> int:
    """So many drawn examples where all are drawn, or the share of them that this run draws."""
    return max(most * settings().max_examples // _ALL, min(most, 5))


def one_of(apart: int) -> pytest.MarkDecorator:
    """Gives a test `apart`: it tries one of so many cases, and each of them where slow ones run."""
    each = pytest.param(1, id="all", marks=pytest.mark.slow)
    return pytest.mark.parametrize("apart", [pytest.param(apart, id=f"one of {apart}"), each])
