"""What a run waits for comes with what it needs, so that no impossible state can be built."""

from dataclasses import MISSING, fields
from typing import get_args

import pytest

from handsfree.engine.phase import Phase
from handsfree.engine.waiting import WaitsFor

KINDS = get_args(WaitsFor)
NEED_NOTHING = {"Ready", "Answering", "WhyRejected", "Finished"}


def test_every_phase_is_that_of_something_that_is_waited_for() -> None:
    assert {each.phase for each in KINDS} == set(Phase)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_nothing_is_waited_for_without_what_it_needs(kind: type) -> None:
    needs = [each.name for each in fields(kind) if each.default is MISSING]
    assert bool(needs) is (kind.__name__ not in NEED_NOTHING)
    for missing in needs:
        with pytest.raises(TypeError, match=missing):
            kind(**{name: None for name in needs if name != missing})


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_its_phase_is_no_field_that_could_contradict_it(kind: type) -> None:
    assert "phase" not in {each.name for each in fields(kind)}
