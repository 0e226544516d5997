"""Whether one listener bears out what another one has heard."""

import pytest

from handsfree.hearing.bearing_out import is_lone, is_written_freely


@pytest.mark.parametrize(
    ("words", "lone"),
    [
        ("eight", True),
        ("minus eight", True),  # "my mistake" sounds like it
        ("one eight", False),
        ("minus one eight", False),
    ],
)
def test_one_figure_is_lone_with_a_minus_too(words: str, lone: bool) -> None:
    assert is_lone(tuple(words.split())) is lone


def test_a_lone_figure_must_be_written_freely_and_others_need_not() -> None:
    assert is_written_freely(("minus", "eight"), "-8.")
    assert not is_written_freely(("minus", "eight"), "My mistake.")
    assert is_written_freely(("one", "eight"), "My mistake.")
