"""A few of the random conversations of `tests/benchmarks/conversations.py`, which holds 20,000."""

import pytest

from tests.benchmarks.conversations import conversation

# In each of them a question was answered with the value that was to stay secret.
_BROKEN_ONCE = (1_004_111, 1_009_727, 1_011_047)


@pytest.mark.parametrize("seed", [*range(100, 106), 851, *_BROKEN_ONCE])
def test_every_rule_holds_in_a_random_conversation(seed: int) -> None:
    model = conversation(seed)
    assert model.finished or model.counts["nobody left to inspect"]
    assert model.counts["conversations replayed"] == 1
