"""Whose headset a clip was recorded from, by the name of its file."""

import pytest

from handsfree.task.roles import Headset


@pytest.mark.parametrize("headset", Headset)
def test_a_number_and_a_role_name_a_headset(headset: Headset) -> None:
    assert Headset.of_clip(f"07-{headset.source}") is headset


@pytest.mark.parametrize(
    "stem", ["07", "07-", "second-person", "x7-second-person", "07-second", "07-second-person-b"]
)
def test_any_other_name_is_of_none(stem: str) -> None:
    assert Headset.of_clip(stem) is None
