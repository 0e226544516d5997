"""A few of the random conversations of `tests/benchmarks/conversations.py`, which holds 20,000."""

import pytest

from tests.benchmarks.conversations import conversation


@pytest.mark.parametrize("seed", [*range(100, 106), 851])
def test_every_rule_holds_in_a_random_conversation(seed: int) -> None:
    model = conversation(seed)
    assert model.finished or model.counts["nobody left to inspect"]
    assert model.counts["conversations replayed"] == 1
